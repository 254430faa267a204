"""What an import changed, what of it can be put back, and putting it back."""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any

from sqlalchemy import JSON, Boolean, Date, Double, delete, select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.store.among import among
from registry.store.bulk import update_rows
from registry.store.history import Author, as_said, note_changes
from registry.store.scope import Scope
from registry.store.tables import (
    AgreementRow,
    Base,
    ChangeRow,
    ComponentRow,
    PermitConditionRow,
    SiteRow,
    SystemRow,
    WindowExceptionRow,
)

KINDS: dict[str, type[Any]] = {
    row.__tablename__: row
    for row in (
        *(SiteRow, SystemRow, ComponentRow),
        *(AgreementRow, PermitConditionRow, WindowExceptionRow),
    )
}
WORKED_OUT = frozenset({"obligation", "system_due", "flood_fact", "place_offer", "match_offer"})
"""Tables whose rows are worked out again; what hangs on a row there holds nothing back."""
_LINES = frozenset({"change", "foreign_row"})
ADDED = "added"


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One line of the history that an import wrote."""

    id: int
    kind: str
    row_id: str
    site_id: int | None
    field: str
    before: str
    after: str

    @property
    def is_added(self) -> bool:
        """Whether the line says that the row was added."""
        return self.field == self.kind and not self.before and self.after.startswith(ADDED)


@dataclass(kw_only=True)
class Undo:
    """What putting back would do; every line is in one of the three.

    ``added`` are the lines of rows that go, ``fields`` those of fields that get their old value,
    each with it. ``kept`` are the lines that stay, each with the reason.
    """

    added: list[Line] = field(default_factory=list)
    fields: list[tuple[Line, Any]] = field(default_factory=list)
    kept: list[tuple[Line, str]] = field(default_factory=list)


def lines_of(
    session: Session,
    scope: Scope,
    wrote: Mapping[tuple[datetime, str, str], Collection[int] | None],
) -> list[Line]:
    """Return the lines that were written at some moments by somebody from a file, in a scope.

    ``wrote`` are moment, who and source → the sites whose lines count, None for all.
    """
    found: dict[int, Line] = {}
    for (at, who, source), site_ids in wrote.items():
        rows = session.execute(
            select(
                ChangeRow.id,
                ChangeRow.kind,
                ChangeRow.row_id,
                ChangeRow.site_id,
                ChangeRow.field,
                ChangeRow.before,
                ChangeRow.after,
            )
            .join(SiteRow, SiteRow.id == ChangeRow.site_id)
            .where(ChangeRow.at == at, ChangeRow.who == who, ChangeRow.source == source)
            .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        )
        for row in rows:
            if site_ids is None or row.site_id in site_ids:
                found[row.id] = Line(**row._asdict())
    return [found[one] for one in sorted(found)]


def imports_at(session: Session, scope: Scope) -> set[tuple[datetime, str]]:
    """Return moment and source of all that was written into the sites of a scope."""
    rows = session.execute(
        select(ChangeRow.at, ChangeRow.source)
        .join(SiteRow, SiteRow.id == ChangeRow.site_id)
        .where(ChangeRow.source != "")
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        .distinct()
    )
    return {(row.at, row.source) for row in rows}


def plan_undo(session: Session, lines: Sequence[Line]) -> Undo:
    """Return what of some lines can be put back; nothing is written."""
    done = Undo()
    later = _later(session, lines)
    whole = {(one.kind, one.row_id) for one in lines if one.is_added}
    new_sites = {one.site_id for one in lines if one.is_added and one.kind == "site"}
    held = _held(session, [one for one in lines if one.is_added])
    kept = _kept(session, lines)
    for one in lines:
        if one.kind != "site" and one.site_id in new_sites and one.kind in KINDS:
            continue  # it goes with its site, or stays with it
        table = KINDS.get(one.kind)
        if table is None:
            done.kept.append((one, f"a {one.kind} is not put back here"))
        elif one.is_added:
            why = _why_added_stays(one, later, held, kept)
            done.kept.append((one, why)) if why else done.added.append(one)
        elif (one.kind, one.row_id) not in whole:
            value, why = _old_value(one, later, kept)
            done.kept.append((one, why)) if why else done.fields.append((one, value))
    return done


def put_back(session: Session, found: Undo, by: Author, mark: str) -> list[int]:
    """Put back what can be, with its history; return the sites that were touched.

    Nothing of the history goes: a site that an import added stays on file, not in use, under a key
    that ends with ``mark``, so that its own key is free again.
    """
    history: list[Change] = []
    changes: dict[str, dict[int, dict[str, Any]]] = {}
    for one, value in found.fields:
        changes.setdefault(one.kind, {}).setdefault(int(one.row_id), {})[one.field] = value
        history.append(
            by.change(one.kind, one.row_id, one.field, one.after, one.before, one.site_id)
        )
    gone: dict[str, list[int]] = {}
    for one in found.added:
        if one.kind != "site":
            gone.setdefault(one.kind, []).append(int(one.row_id))
            history.append(
                by.change(one.kind, one.row_id, one.kind, one.after, "taken back", one.site_id)
            )
    ids = [int(one.row_id) for one in found.added if one.kind == "site"]
    for row in session.execute(
        select(SiteRow.id, SiteRow.key).where(among(session, SiteRow.id, ids))
    ):
        key = f"{row.key} ({mark})"
        changes.setdefault("site", {})[row.id] = {"key": key, "active": False}
        history.append(by.change("site", row.id, "key", row.key, key, row.id))
        history.append(by.change("site", row.id, "active", "yes", "no", row.id))
    for kind, each in changes.items():
        update_rows(session, KINDS[kind], each)
    for kind, rows in gone.items():
        _delete(session, KINDS[kind], rows)
    note_changes(session, history)
    return sorted({one.site_id for one in history if one.site_id is not None})


def take_away(session: Session, change: Change, by: Author) -> str:
    """Take a row away that a line of the history added; return why it stays, empty if it went."""
    line = Line(
        id=change.id,
        kind=change.kind,
        row_id=change.row_id,
        site_id=change.site_id,
        field=change.field,
        before=change.before,
        after=change.after,
    )
    found = plan_undo(session, [line])
    if found.kept:
        return found.kept[0][1]
    if line.kind == "system":
        worked_out = Base.metadata.tables
        for name in ("system_due", "obligation"):
            table = worked_out[name]
            session.execute(delete(table).where(table.c.system_id == int(line.row_id)))
    put_back(session, found, by, by.source)
    return ""


def _later(session: Session, lines: Sequence[Line]) -> set[tuple[str, str, str]]:
    """Return kind, row and field of all that was changed after some lines; ("", site, "") too."""
    if not lines:
        return set()
    own = {one.id for one in lines}
    last: dict[tuple[str, str, str], int] = {}
    for one in lines:
        last[one.kind, one.row_id, one.field] = one.id
        last["", str(one.site_id), ""] = one.id
    found = set()
    rows = session.execute(
        select(ChangeRow.id, ChangeRow.kind, ChangeRow.row_id, ChangeRow.site_id, ChangeRow.field)
        .where(among(session, ChangeRow.site_id, {one.site_id or 0 for one in lines}))
        .where(ChangeRow.id > min(own))
    )
    for row_id, kind, of_row, site_id, name in rows:
        if row_id in own:
            continue
        for spot in ((kind, of_row, name), ("", str(site_id), "")):
            if row_id > last.get(spot, row_id):
                found.add(spot)
    return found


def _held(session: Session, added: Sequence[Line]) -> dict[tuple[str, str], str]:
    """Return what hangs on added rows and would lose them: kind and row → name of the table."""
    found: dict[tuple[str, str], str] = {}
    for kind in {one.kind for one in added} & set(KINDS):
        ids = [int(one.row_id) for one in added if one.kind == kind and one.row_id]
        own = {"system"} if kind == "site" else set[str]()
        for table in Base.metadata.sorted_tables:
            if table.name in WORKED_OUT | _LINES | own:
                continue
            for column in table.columns:
                if any(key.column.table.name == kind for key in column.foreign_keys):
                    rows: Any = select(column).where(among(session, column, ids)).distinct()  # type: ignore[arg-type]
                    for (row_id,) in session.execute(rows):
                        found.setdefault((kind, str(row_id)), table.name.replace("_", " "))
    return found


def _kept(session: Session, lines: Sequence[Line]) -> dict[tuple[str, str], Any]:
    """Return the rows that lines are about as they are now."""
    found: dict[tuple[str, str], Any] = {}
    for kind, table in KINDS.items():
        ids = {int(one.row_id) for one in lines if one.kind == kind and one.row_id}
        if ids:
            rows = session.scalars(
                select(table)
                .where(among(session, table.id, ids))
                .execution_options(populate_existing=True)
            )
            found |= {(kind, str(row.id)): row for row in rows}
    return found


def _why_added_stays(
    one: Line,
    later: Collection[tuple[str, str, str]],
    held: Mapping[tuple[str, str], str],
    kept: Mapping[tuple[str, str], Any],
) -> str:
    if not one.row_id or (one.kind, one.row_id) not in kept:
        return "it is not there any more"
    if (one.kind, one.row_id) in held:
        name = held[one.kind, one.row_id]
        return f"{'an' if name[0] in 'aeio' else 'a'} {name} hangs on it"
    spot = ("", str(one.site_id), "")
    changed = any(kind == one.kind and row == one.row_id for kind, row, _ in later)
    if changed or (one.kind == "site" and spot in later):
        return "it was changed since"
    return ""


def _old_value(
    one: Line, later: Collection[tuple[str, str, str]], kept: Mapping[tuple[str, str], Any]
) -> tuple[Any, str]:
    row = kept.get((one.kind, one.row_id))
    if row is None:
        return None, "it is not there any more"
    if (one.kind, one.row_id, one.field) in later:
        return None, "it was changed since"
    if as_said(getattr(row, one.field, None)) != one.after:
        return None, "it does not hold any more what the import wrote"
    column = KINDS[one.kind].__table__.c[one.field]
    value = _from_said(column, one.before, getattr(row, one.field))
    if as_said(value) != one.before:
        return None, f"what it was before (“{one.before}”) cannot be read back exactly"
    return value, ""


def _from_said(column: Any, said: str, now: Any) -> Any:  # noqa: ANN401 - any value
    """Return the value that the history shows as a text; the caller checks that it is."""
    if isinstance(column.type, JSON):
        return _list_from_said(column.name, said, now)
    if said == "":
        return None if column.nullable else ""
    if isinstance(column.type, Boolean):
        return said == "yes"
    if isinstance(column.type, Double):
        return float(said)
    if isinstance(column.type, Date):
        return date.fromisoformat(said)
    return int(said) if said.isdigit() and isinstance(now, int) else said


def _list_from_said(name: str, said: str, now: Any) -> Any:  # noqa: ANN401 - a JSON value
    parts = [part for part in said.split("; ") if part]
    if name == "hazards":
        return [
            {"kind": kind, "note": note} for kind, _, note in (p.partition(": ") for p in parts)
        ]
    if isinstance(now, dict):
        return dict(part.split(" = ", 1) for part in parts if " = " in part)
    return parts


def _delete(session: Session, table: type[Any], ids: Sequence[int]) -> None:
    for other in Base.metadata.sorted_tables:
        if other.name in WORKED_OUT:
            for column in other.columns:
                if any(key.column.table.name == table.__tablename__ for key in column.foreign_keys):
                    session.execute(delete(other).where(among(session, column, ids)))  # type: ignore[arg-type]
    session.execute(
        delete(table)
        .where(among(session, table.id, ids))
        .execution_options(synchronize_session=False)
    )
