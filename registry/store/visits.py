"""Visits and readings: added to, never changed; what was superseded stays and can be asked for."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, insert, select
from sqlalchemy.orm import Session, aliased

from registry.errors import ConflictError, RangeError
from registry.records.visits import Reading, VisitRecord
from registry.store.among import among
from registry.store.merges import records_of
from registry.store.replaced import is_replaced
from registry.store.tables import Base, ReadingRow, VisitRow, VisitTaskRow


def record_visit(session: Session, visit: VisitRecord, now: datetime | None = None) -> bool:
    """Store a visit with its tasks and readings; return False if it was stored before.

    The id is made where the visit is recorded, so sending one twice does no harm. ``now`` is the
    moment of recording where the record names none.

    Raises
    ------
    ConflictError
        If another visit is stored under the same id.
    RangeError
        If neither the record nor ``now`` says when it was recorded.
    """
    recorded_at = visit.recorded_at or now
    if recorded_at is None:
        raise RangeError("A visit needs the moment at which it was recorded.")
    kept = visits_with_ids(session, [visit.id])
    if kept:
        if _content(kept[0]) != _content(visit):
            raise ConflictError(
                "Another visit is stored under this id. Record a correction with an id of its own."
            )
        return False
    add_visits(session, [replace(visit, recorded_at=recorded_at)])
    return True


def add_visits(session: Session, visits: Iterable[VisitRecord]) -> None:
    """Add visits that are not stored yet, with their tasks and readings."""
    listed = list(visits)
    _insert(
        session,
        VisitRow,
        [
            {
                "id": one.id,
                "site_id": one.site_id,
                "on_date": one.on_date,
                "technician": one.technician,
                "technician_id": one.technician_id,
                "outcome": one.outcome,
                "note": one.note,
                "recorded_by": one.recorded_by,
                "recorded_at": one.recorded_at,
                "supersedes": one.supersedes or None,
            }
            for one in listed
        ],
    )
    add_tasks(session, [(one.id, *pair) for one in listed for pair in one.done])
    add_readings(session, [reading for one in listed for reading in one.readings])


def add_tasks(session: Session, done: Iterable[tuple[str, int, str]]) -> None:
    """Add tasks to visits: (visit id, system id, task)."""
    _insert(
        session,
        VisitTaskRow,
        [{"visit_id": visit, "system_id": system, "task": task} for visit, system, task in done],
    )


def add_readings(session: Session, readings: Iterable[Reading]) -> None:
    """Add readings to visits; one that corrects another names it in ``supersedes``."""
    _insert(
        session,
        ReadingRow,
        [
            {
                "id": one.id,
                "visit_id": one.visit_id,
                "site_id": one.site_id,
                "system_id": one.system_id,
                "component_id": one.component_id,
                "kind": one.kind,
                "value": one.value,
                "text": one.text,
                "unit": one.unit,
                "read_on": one.read_on,
                "note": one.note,
                "answer": one.answer,
                "supersedes": one.supersedes or None,
            }
            for one in readings
        ],
    )


def visits_of_site(
    session: Session, site_id: int, *, with_superseded: bool = False
) -> list[VisitRecord]:
    """Return the visits of one site with tasks and readings, newest first."""
    return visits_of_sites(session, [site_id], with_superseded=with_superseded)


def visits_of_sites(
    session: Session, site_ids: Iterable[int], *, with_superseded: bool = False
) -> list[VisitRecord]:
    """Return the visits of some sites with tasks and readings, newest first.

    Visits and readings that a correction supersedes are left out unless they are asked for.
    """
    records = records_of(session, site_ids)
    asked = (
        select(VisitRow)
        .where(among(session, VisitRow.site_id, records))
        .order_by(VisitRow.on_date.desc(), VisitRow.recorded_at.desc(), VisitRow.id)
    )
    if not with_superseded:
        asked = asked.where(~is_replaced(VisitRow.id))
    found = _whole(session, session.scalars(asked), with_superseded=with_superseded)
    return [replace(one, site_id=records[one.site_id]) for one in found]


def worked_at_on(session: Session, site_ids: Iterable[int], on_date: date) -> set[int]:
    """Return at which of some sites a visit of a date has done any task."""
    wanted = set(site_ids)
    records = records_of(session, wanted)
    asked = (
        select(VisitRow.site_id)
        .join(VisitTaskRow, VisitTaskRow.visit_id == VisitRow.id)
        .where(
            among(session, VisitRow.site_id, records),
            VisitRow.on_date == on_date,
            ~is_replaced(VisitRow.id),
        )
        .distinct()
    )
    worked = {records[one] for one in session.scalars(asked)}
    return {one for one in wanted if records.get(one) in worked}


def visits_with_ids(session: Session, ids: Iterable[str]) -> list[VisitRecord]:
    """Return the visits with some ids as they were recorded, superseded readings included."""
    rows = session.scalars(
        select(VisitRow).where(among(session, VisitRow.id, ids)).order_by(VisitRow.id)
    )
    return _whole(session, rows, with_superseded=True)


def readings_of_site(
    session: Session, site_id: int, kind: str | None = None, *, with_superseded: bool = False
) -> list[Reading]:
    """Return the readings of one site, of one kind or all, oldest first."""
    asked = (
        select(ReadingRow)
        .where(among(session, ReadingRow.site_id, records_of(session, [site_id])))
        .order_by(ReadingRow.read_on, ReadingRow.id)
    )
    if kind is not None:
        asked = asked.where(ReadingRow.kind == kind)
    if not with_superseded:
        asked = asked.where(~_is_superseded())
    return [_reading(row) for row in session.scalars(asked)]


def _is_superseded() -> ColumnElement[bool]:
    """Return the condition that a later reading corrects this one."""
    newer = aliased(ReadingRow)
    return select(newer.id).where(newer.supersedes == ReadingRow.id).exists()


def _whole(
    session: Session, rows: Iterable[VisitRow], *, with_superseded: bool
) -> list[VisitRecord]:
    listed = list(rows)
    ids = [row.id for row in listed]
    done: dict[str, list[tuple[int, str]]] = {}
    tasks = session.execute(
        select(VisitTaskRow.visit_id, VisitTaskRow.system_id, VisitTaskRow.task)
        .where(among(session, VisitTaskRow.visit_id, ids))
        .order_by(VisitTaskRow.visit_id, VisitTaskRow.system_id, VisitTaskRow.task)
    )
    for visit_id, system_id, task in tasks:
        done.setdefault(visit_id, []).append((system_id, task))
    readings: dict[str, list[Reading]] = {}
    asked = (
        select(ReadingRow)
        .where(among(session, ReadingRow.visit_id, ids))
        .order_by(ReadingRow.visit_id, ReadingRow.kind, ReadingRow.component_id, ReadingRow.id)
    )
    if not with_superseded:
        asked = asked.where(~_is_superseded())
    for row in session.scalars(asked):
        readings.setdefault(row.visit_id, []).append(_reading(row))
    return [
        VisitRecord(
            id=row.id,
            site_id=row.site_id,
            on_date=row.on_date,
            technician=row.technician,
            technician_id=row.technician_id,
            outcome=row.outcome,
            done=tuple(done.get(row.id, ())),
            note=row.note,
            recorded_by=row.recorded_by,
            recorded_at=row.recorded_at,
            supersedes=row.supersedes or "",
            readings=tuple(readings.get(row.id, ())),
        )
        for row in listed
    ]


def _reading(row: ReadingRow) -> Reading:
    return Reading(
        id=row.id,
        visit_id=row.visit_id,
        site_id=row.site_id,
        system_id=row.system_id,
        component_id=row.component_id,
        kind=row.kind,
        value=row.value,
        text=row.text,
        unit=row.unit,
        read_on=row.read_on,
        note=row.note,
        answer=row.answer,
        supersedes=row.supersedes or "",
    )


def _content(visit: VisitRecord) -> VisitRecord:
    """Return what a visit says, without when and by whom it was stored or in which order."""
    return replace(
        visit,
        recorded_at=None,
        recorded_by="",
        done=tuple(sorted(set(visit.done))),
        readings=tuple(sorted(visit.readings, key=lambda one: one.id)),
    )


def _insert(session: Session, kind: type[Base], rows: list[dict[str, Any]]) -> None:
    if rows:
        session.execute(insert(kind), rows)
