"""Merging a record of a site into another column by column, and putting all of it back.

Every change is a column of a row that stays: what it was and what it became is kept with the merge,
so that undoing needs nothing else. Tables that are only added to are not touched.
"""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import Date, or_, select
from sqlalchemy.orm import Session

from registry.store.among import among
from registry.store.tables import (
    AgreementRow,
    ComponentRow,
    ForeignRow,
    HoldRow,
    MatchOfferRow,
    ObligationRow,
    PermitConditionRow,
    RuleOutRow,
    ServiceWindowRow,
    SiteMergeRow,
    SiteRow,
    SitesApartRow,
    SystemRow,
    WindowExceptionRow,
)

CHANGED: dict[str, type[Any]] = {
    row.__tablename__: row
    for row in (
        *(SiteRow, SystemRow, ComponentRow, PermitConditionRow, ServiceWindowRow),
        *(WindowExceptionRow, AgreementRow, HoldRow, RuleOutRow, ForeignRow, MatchOfferRow),
    )
}
HOURS: dict[str, type[Any]] = {"windows": ServiceWindowRow, "exceptions": WindowExceptionRow}


@dataclass(frozen=True, slots=True, kw_only=True)
class Merge:
    """One merge: of which record into which, by whom and when; ``undone_at`` None = in force."""

    id: int
    at: datetime
    who: str
    site_id: int
    merged_id: int
    undone_at: datetime | None


@dataclass
class Writing:
    """Columns that are changed: table → id → column → before and after."""

    rows: dict[str, dict[str, dict[str, list[Any]]]] = field(default_factory=dict)

    def put(self, row: Any, values: Mapping[str, Any]) -> None:  # noqa: ANN401 - any row
        """Change columns of a row and keep what they were."""
        for name, value in values.items():
            before = getattr(row, name)
            if before != value:
                cells = self.rows.setdefault(row.__tablename__, {}).setdefault(str(row.id), {})
                cells[name] = [_plain(before), _plain(value)]
                setattr(row, name, value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What is to be written: values of the site that holds and of its systems, by column.

    ``hours`` names the hours that are taken from the other record, ``same`` its systems that are
    systems of the site that holds; ``components`` of those go over, the others stay behind.
    """

    site: Mapping[str, Any]
    systems: Mapping[int, Mapping[str, Any]]
    hours: Collection[str]
    same: Mapping[int, int]
    components: Collection[int]
    choices: Mapping[str, str]


def merge(
    session: Session, kept_id: int, other_id: int, wanted: Wanted, who: str, now: datetime
) -> int:
    """Merge a record into another and return the number of the merge."""
    writing = Writing()
    owed = _owed(session, [kept_id, other_id])
    kept, other = session.get_one(SiteRow, kept_id), session.get_one(SiteRow, other_id)
    for name in wanted.hours:
        _swap(session, writing, HOURS[name], kept_id, other_id)
    writing.put(kept, wanted.site)
    for system_id, values in wanted.systems.items():
        writing.put(session.get_one(SystemRow, system_id), values)
    _move_systems(session, writing, kept, other, wanted)
    _move_the_rest(session, writing, kept_id, other_id)
    writing.put(other, {"merged_into_id": kept_id, "active": False})
    row = SiteMergeRow(
        at=now, who=who, site_id=kept_id, merged_id=other_id, choices=dict(wanted.choices),
        rows=writing.rows, owed=owed,
    )  # fmt: skip
    session.add(row)
    session.flush()
    return row.id


def put_back(
    session: Session, merge_id: int, who: str, now: datetime
) -> list[tuple[str, int, str]]:
    """Put back all columns that are as the merge left them; return those that are not."""
    row = session.get_one(SiteMergeRow, merge_id)
    stayed = []
    for table, ids in row.rows.items():
        for row_id, cells in ids.items():
            kept = session.get(CHANGED[table], int(row_id), populate_existing=True)
            for name, (before, after) in cells.items():
                if kept is None or _plain(getattr(kept, name)) != after:
                    stayed.append((table, int(row_id), name))
                else:
                    setattr(kept, name, _typed(table, name, before))
    session.flush()
    for each in row.owed:
        _put_owed(session, each)
    row.undone_at, row.undone_by = now, who
    session.flush()
    return stayed


def merges(session: Session, site_ids: Iterable[int]) -> list[Merge]:
    """Return the merges that some records took part in, the newest first."""
    ids = list(site_ids)
    rows = session.scalars(
        select(SiteMergeRow)
        .where(
            or_(
                among(session, SiteMergeRow.site_id, ids),
                among(session, SiteMergeRow.merged_id, ids),
            )
        )
        .order_by(SiteMergeRow.id.desc())
        .execution_options(populate_existing=True)
    )
    return [
        Merge(
            id=row.id, at=row.at, who=row.who, site_id=row.site_id, merged_id=row.merged_id,
            undone_at=row.undone_at,
        )
        for row in rows
    ]  # fmt: skip


def merges_with(session: Session, merge_id: int) -> list[Merge]:
    """Return the merge with a number in a list, which is empty if there is none."""
    row = session.get(SiteMergeRow, merge_id)
    found = merges(session, [row.site_id]) if row else []
    return [one for one in found if one.id == merge_id]


def apart(session: Session) -> set[tuple[int, int]]:
    """Return the pairs of which somebody said that they are two sites."""
    rows = session.execute(select(SitesApartRow.first_id, SitesApartRow.then_id))
    return {(row.first_id, row.then_id) for row in rows}


def put_apart(session: Session, one: int, other: int, who: str, now: datetime) -> None:
    """Note that two sites that look alike are two."""
    key = (min(one, other), max(one, other))
    if session.get(SitesApartRow, key) is None:
        session.add(SitesApartRow(first_id=key[0], then_id=key[1], at=now, who=who))
        session.flush()


def _swap(session: Session, writing: Writing, kind: type[Any], kept_id: int, other_id: int) -> None:
    rows = session.scalars(select(kind).where(kind.site_id.in_([kept_id, other_id]))).all()
    for one in rows:
        writing.put(one, {"site_id": other_id if one.site_id == kept_id else kept_id})


def _move_systems(
    session: Session, writing: Writing, kept: SiteRow, other: SiteRow, wanted: Wanted
) -> None:
    its = select(SystemRow).where(SystemRow.site_id == other.id).order_by(SystemRow.id)
    taken = set(session.scalars(select(SystemRow.key).where(SystemRow.site_id == kept.id)))
    for system in session.scalars(its).all():
        to = wanted.same.get(system.id)
        if to is None:
            key, number = system.key, 2
            while key in taken:
                key, number = f"{system.key or 'from'} {other.key} {number}".strip(), number + 1
            taken.add(key)
            writing.put(system, {"site_id": kept.id, "key": key})
            continue
        writing.put(system, {"merged_into_id": to})
        for part in session.scalars(
            select(ComponentRow).where(ComponentRow.system_id == system.id)
        ).all():
            if part.id in wanted.components:
                writing.put(part, {"system_id": to})
        _move_conditions(session, writing, system.id, to)


def _move_conditions(session: Session, writing: Writing, system_id: int, to: int) -> None:
    """Let what a permit asks of one record of a system hold for the system."""
    row = PermitConditionRow
    there = {
        (one.task, one.months, one.is_waiver)
        for one in session.scalars(select(row).where(row.system_id == to))
    }
    for one in session.scalars(select(row).where(row.system_id == system_id)).all():
        if (one.task, one.months, one.is_waiver) not in there:
            writing.put(one, {"system_id": to})


def _move_the_rest(session: Session, writing: Writing, kept_id: int, other_id: int) -> None:
    for kind in (AgreementRow, RuleOutRow, ForeignRow):
        for one in session.scalars(select(kind).where(kind.site_id == other_id)).all():
            writing.put(one, {"site_id": kept_id})
    held = set(session.scalars(select(HoldRow.on_date).where(HoldRow.site_id == kept_id)))
    for hold in session.scalars(select(HoldRow).where(HoldRow.site_id == other_id)).all():
        if hold.on_date not in held:
            writing.put(hold, {"site_id": kept_id})
    row = MatchOfferRow
    offered = set(session.scalars(select(row.foreign_id).where(row.site_id == kept_id)))
    for offer in session.scalars(select(row).where(row.site_id == other_id)).all():
        if offer.foreign_id not in offered:
            writing.put(offer, {"site_id": kept_id})
    for pointer in (SiteRow, SystemRow):
        _move_pointers(session, writing, pointer, kept_id, other_id)


def _move_pointers(
    session: Session, writing: Writing, kind: type[Any], kept_id: int, other_id: int
) -> None:
    """Let records that point to the other one point to the one that holds: one step, never two."""
    if kind is SiteRow:
        for one in session.scalars(select(kind).where(kind.merged_into_id == other_id)).all():
            writing.put(one, {"merged_into_id": kept_id})
        return
    gone = select(SystemRow).where(
        SystemRow.site_id == other_id, SystemRow.merged_into_id.is_not(None)
    )
    to = {one.id: one.merged_into_id for one in session.scalars(gone)}
    for one in session.scalars(select(kind).where(among(session, kind.merged_into_id, to))).all():
        writing.put(one, {"merged_into_id": to[one.merged_into_id]})


def _owed(session: Session, site_ids: list[int]) -> list[dict[str, Any]]:
    """Return the obligations of two records: since when a task is owed stands nowhere else."""
    rows = session.scalars(select(ObligationRow).where(ObligationRow.site_id.in_(site_ids)))
    return [
        {column.name: _plain(getattr(one, column.name)) for column in ObligationRow.__table__.c}
        for one in rows
    ]


def _put_owed(session: Session, said: Mapping[str, Any]) -> None:
    values = {name: _typed("obligation", name, value) for name, value in said.items()}
    if session.get(SystemRow, values["system_id"]) is None:
        return
    kept = session.scalar(
        select(ObligationRow).where(
            ObligationRow.system_id == values["system_id"], ObligationRow.task == values["task"]
        )
    )
    if kept is None:
        if session.get(ObligationRow, values["id"]) is not None:
            del values["id"]  # another one has the number by now
        session.add(ObligationRow(**values))
        session.flush()
        return
    for name, value in values.items():
        if name != "id":
            setattr(kept, name, value)


def _plain(value: Any) -> Any:  # noqa: ANN401 - any value of a column
    return value.isoformat() if isinstance(value, date) else value


def _typed(table: str, name: str, value: Any) -> Any:  # noqa: ANN401 - any value of a column
    kind = ObligationRow if table == "obligation" else CHANGED[table]
    is_date = isinstance(kind.__table__.c[name].type, Date)
    return date.fromisoformat(value) if is_date and value is not None else value
