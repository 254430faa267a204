"""Rows of another source's file that wait for a person, and what they are compared with."""

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import Date, delete, func, select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.records.foreign_rows import Difference, ForeignSite, ForeignState, MatchOffer
from registry.store.among import among
from registry.store.bulk import insert_columns, reserve_ids, update_rows
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_tables
from registry.store.tables import ForeignRow, MatchOfferRow, SiteRow, SystemRow

PLACING = frozenset({"key", "lon", "lat", "position_source", "position_accuracy_m"})
"""Fields that are compared together as the position, and the key, which is the source's own."""
OWN_WORD = "kind_as_given"
"""The source's own word for the kind of a system; it goes with the kind."""
KINDS: dict[str, type[SiteRow | SystemRow]] = {"site": SiteRow, "system": SystemRow}


def known_rows(
    session: Session, firm_id: int, source: str, keys: Sequence[str]
) -> dict[str, ForeignSite]:
    """Return a source's rows by their keys, those that came before."""
    rows = session.scalars(
        select(ForeignRow).where(
            ForeignRow.firm_id == firm_id,
            ForeignRow.source == source,
            among(session, ForeignRow.key, keys),
        )
    )
    return {row.key: _record(row) for row in rows}


def put_rows(
    session: Session, rows: Sequence[ForeignSite], offers: Sequence[Sequence[MatchOffer]]
) -> None:
    """Add rows or replace those with the same id, each with the sites that it may be."""
    if not rows:
        return
    lock_tables(session, ForeignRow, MatchOfferRow)
    replaced = [one for one in rows if one.id]
    update_rows(session, ForeignRow, {one.id: _values(one) for one in replaced})
    forget_offers(session, [one.id for one in replaced])
    new = [i for i, one in enumerate(rows) if not one.id]
    ids = [one.id for one in rows]
    if new:
        values = [_values(rows[i]) for i in new]
        given = dict(zip(new, reserve_ids(session, ForeignRow, len(new)), strict=True))
        insert_columns(
            session,
            ForeignRow,
            {"id": list(given.values())}
            | {name: [one[name] for one in values] for name in values[0]},
        )
        ids = [given.get(i, one) for i, one in enumerate(ids)]
    pairs = [(ids[i], one) for i, each in enumerate(offers) for one in each]
    if pairs:
        insert_columns(
            session,
            MatchOfferRow,
            {
                "id": reserve_ids(session, MatchOfferRow, len(pairs)),
                "foreign_id": [one for one, _ in pairs],
                "site_id": [one.site_id for _, one in pairs],
                "same_parcel": [one.same_parcel for _, one in pairs],
                "same_address": [one.same_address for _, one in pairs],
                "apart_m": [one.apart_m for _, one in pairs],
                "score": [one.score for _, one in pairs],
            },
        )


def forget_offers(session: Session, foreign_ids: Collection[int]) -> None:
    """Forget which sites some rows may be."""
    session.execute(
        delete(MatchOfferRow)
        .where(among(session, MatchOfferRow.foreign_id, foreign_ids))
        .execution_options(synchronize_session=False)
    )


def open_rows(
    session: Session, firm_id: int | None, *, after: int = 0, limit: int | None = None
) -> list[ForeignSite]:
    """Return the rows of a firm (None = all firms) that wait, in the order in which they came."""
    asked = select(ForeignRow).where(
        ForeignRow.state == ForeignState.OPEN.value, ForeignRow.id > after
    )
    if firm_id is not None:
        asked = asked.where(ForeignRow.firm_id == firm_id)
    rows = session.scalars(
        asked.order_by(ForeignRow.id).limit(limit).execution_options(populate_existing=True)
    )
    return [_record(row) for row in rows]


def open_count(session: Session, firm_id: int | None) -> int:
    """Return how many rows of a firm (None = all firms) wait."""
    asked = select(func.count()).where(ForeignRow.state == ForeignState.OPEN.value)
    if firm_id is not None:
        asked = asked.where(ForeignRow.firm_id == firm_id)
    return session.scalar(asked) or 0


def offers_of(session: Session, foreign_ids: Iterable[int]) -> dict[int, list[MatchOffer]]:
    """Return the sites that some rows may be, the likeliest first."""
    rows = session.scalars(
        select(MatchOfferRow)
        .where(among(session, MatchOfferRow.foreign_id, foreign_ids))
        .order_by(MatchOfferRow.foreign_id, MatchOfferRow.score.desc(), MatchOfferRow.site_id)
    )
    found: dict[int, list[MatchOffer]] = {}
    for row in rows:
        found.setdefault(row.foreign_id, []).append(
            MatchOffer(
                foreign_id=row.foreign_id,
                site_id=row.site_id,
                same_parcel=row.same_parcel,
                same_address=row.same_address,
                apart_m=row.apart_m,
                score=row.score,
            )
        )
    return found


def settle(
    session: Session,
    decided: Mapping[int, int],
    state: ForeignState,
    by: Author,
) -> None:
    """Note which site each row is: row id → site id.

    What they may have been is forgotten, and of what they say only a digest stays: enough to
    know the same row again, and no personal data in a second place.
    """
    told = {"state": state.value, "decided_by": by.who, "decided_at": by.at}
    rows = session.execute(
        select(ForeignRow.id, ForeignRow.says).where(among(session, ForeignRow.id, decided))
    )
    update_rows(
        session,
        ForeignRow,
        {
            row.id: {"site_id": decided[row.id], "says": sealed(row.says), **told}
            for row in rows.all()
        },
    )
    forget_offers(session, decided)


def sealed(says: Mapping[str, Any]) -> dict[str, Any]:
    """Return a digest of what a row says, in the place of it; of a digest itself."""
    if "digest" in says:
        return dict(says)
    text = json.dumps(says, sort_keys=True, default=dict)
    return {"digest": hashlib.sha256(text.encode()).hexdigest()}


def forget(session: Session, foreign_ids: Collection[int]) -> None:
    """Forget rows as if they had never come; the next import of their file brings them again."""
    forget_offers(session, foreign_ids)
    session.execute(
        delete(ForeignRow)
        .where(among(session, ForeignRow.id, foreign_ids))
        .execution_options(synchronize_session=False)
    )


def imports_of(session: Session, firm_id: int | None) -> set[tuple[datetime, str]]:
    """Return moment and file of the imports that brought rows to a firm, None = to any."""
    asked = select(ForeignRow.imported_at, ForeignRow.file_name).distinct()
    if firm_id is not None:
        asked = asked.where(ForeignRow.firm_id == firm_id)
    return {(row.imported_at, row.file_name) for row in session.execute(asked)}


def rows_of_import(session: Session, at: datetime, file_name: str) -> list[ForeignSite]:
    """Return the rows that an import brought."""
    rows = session.scalars(
        select(ForeignRow).where(ForeignRow.imported_at == at, ForeignRow.file_name == file_name)
    )
    return [_record(row) for row in rows]


def differences(
    session: Session, pairs: Sequence[tuple[ForeignSite, int]]
) -> list[list[Difference]]:
    """Return for each row and site the fields in which they differ; an empty value says nothing.

    The system compared is the one with the row's own system key, else the site's only one.
    """
    site_ids = [site_id for _, site_id in pairs]
    kept_sites = {
        row.id: row
        for row in session.scalars(select(SiteRow).where(among(session, SiteRow.id, site_ids)))
    }
    kept_systems: dict[int, list[SystemRow]] = {}
    for row in session.scalars(
        select(SystemRow).where(among(session, SystemRow.site_id, site_ids)).order_by(SystemRow.id)
    ):
        kept_systems.setdefault(row.site_id, []).append(row)
    return [
        _differing("site", one.says.get("site", {}), kept_sites.get(site_id), one.source)
        + _differing(
            "system",
            one.says.get("system", {}),
            _system(kept_systems.get(site_id, []), one.says.get("system", {}).get("key", "")),
            one.source,
        )
        for one, site_id in pairs
    ]


def take(session: Session, taken: Sequence[tuple[int, Sequence[Difference]]], by: Author) -> None:
    """Write differences into the sites that they belong to: site id → what is taken."""
    for kind, table in KINDS.items():
        changes: dict[int, dict[str, Any]] = {}
        history: list[Change] = []
        for site_id, found in taken:
            for one in found:
                if not one.name.startswith(f"{kind}."):
                    continue
                changes.setdefault(one.row_id, {}).update(one.values)
                history += [
                    by.change(kind, one.row_id, name, as_said(before), as_said(value), site_id)
                    for name, value in one.values.items()
                    if (before := one.before[name]) != value
                ]
        update_rows(session, table, changes)
        note_changes(session, history)


def plain_values(
    columns: Mapping[str, Sequence[Any]], row: int, kind: str, *, leave: Collection[str] = ()
) -> dict[str, Any]:
    """Return what a row says, without what it leaves empty, as JSON can keep it."""
    found = {}
    for name, values in columns.items():
        value = values[row]
        if name not in leave and value is not None and value not in ("", []):
            found[name] = value.isoformat() if isinstance(value, date) else value
    return found if kind in KINDS else {}


def typed(kind: str, name: str, value: Any) -> Any:  # noqa: ANN401 - any value of a column
    """Return a value as its column holds it."""
    column = KINDS[kind].__table__.c[name]
    return date.fromisoformat(value) if isinstance(column.type, Date) else value


def _differing(
    kind: str, says: Mapping[str, Any], kept: SiteRow | SystemRow | None, source: str
) -> list[Difference]:
    if kept is None:
        return []
    found: list[Difference] = []
    if isinstance(kept, SiteRow) and "lon" in says:
        found += _position(says, kept, source)
    for name, told in says.items():
        value = typed(kind, name, told)
        if name in PLACING or as_said(value) == as_said(getattr(kept, name)):
            continue
        values = {name: value}
        if name == "kind" and says.get(OWN_WORD):
            values[OWN_WORD] = says[OWN_WORD]
        before = as_said(getattr(kept, name))
        found.append(_difference(f"{kind}.{name}", kept, values, before, as_said(value)))
    names = {one.name for one in found}
    return [one for one in found if one.name != f"system.{OWN_WORD}" or "system.kind" not in names]


def _position(says: Mapping[str, Any], kept: SiteRow, source: str) -> list[Difference]:
    """Return the difference of positions: both coordinates with who says so and how exact."""
    there, told = _place(kept.lon, kept.lat), _place(says["lon"], says["lat"])
    if there == told:
        return []
    values = {
        "lon": says["lon"],
        "lat": says["lat"],
        "position_source": says.get("position_source", source),
        "position_accuracy_m": says.get("position_accuracy_m"),
    }
    words = f"{told} ({values['position_source']})"
    return [_difference("site.position", kept, values, there, words)]


def _difference(
    name: str, kept: SiteRow | SystemRow, values: Mapping[str, Any], before: str, told: str
) -> Difference:
    return Difference(
        name=name,
        kept=before,
        told=told,
        values=values,
        before={column: getattr(kept, column) for column in values},
        row_id=kept.id,
    )


def _place(lon: float | None, lat: float | None) -> str:
    """Return a place in words, latitude first, to a centimetre."""
    return "" if lon is None or lat is None else f"{lat:.7f}, {lon:.7f}"


def _system(systems: Sequence[SystemRow], key: str) -> SystemRow | None:
    named = [one for one in systems if one.key == key]
    return named[0] if len(named) == 1 else systems[0] if len(systems) == 1 else None


def _values(one: ForeignSite) -> dict[str, Any]:
    return {
        "firm_id": one.firm_id,
        "source": one.source,
        "key": one.key,
        "imported_at": one.imported_at,
        "file_name": one.file_name,
        "says": dict(one.says),
        "state": one.state.value,
        "site_id": one.site_id,
        "decided_by": one.decided_by,
        "decided_at": one.decided_at,
    }


def _record(row: ForeignRow) -> ForeignSite:
    return ForeignSite(
        id=row.id,
        firm_id=row.firm_id,
        source=row.source,
        key=row.key,
        imported_at=row.imported_at,
        file_name=row.file_name,
        says=row.says,
        state=ForeignState(row.state),
        site_id=row.site_id,
        decided_by=row.decided_by,
        decided_at=row.decided_at,
    )
