"""Visits that were made, with their readings; what a correction supersedes is kept."""

from collections import defaultdict

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.visits import Reading, VisitRecord
from registry.store.tables import ReadingRow, VisitRow, VisitTaskRow


def visits_of(session: Session, site_id: int) -> list[VisitRecord]:
    """Return the visits of a site, the newest first, each with tasks done and readings."""
    rows = list(
        session.scalars(
            select(VisitRow)
            .where(VisitRow.site_id == site_id)
            .order_by(VisitRow.on_date.desc(), VisitRow.recorded_at.desc(), VisitRow.id)
        )
    )
    of_site = select(VisitRow.id).where(VisitRow.site_id == site_id)
    done: dict[str, list[tuple[int, str]]] = defaultdict(list)
    for task in session.scalars(
        select(VisitTaskRow)
        .where(VisitTaskRow.visit_id.in_(of_site))
        .order_by(VisitTaskRow.system_id, VisitTaskRow.task)
    ):
        done[task.visit_id].append((task.system_id, task.task))
    readings: dict[str, list[Reading]] = defaultdict(list)
    for reading in readings_of(session, site_id):
        readings[reading.visit_id].append(reading)
    return [
        VisitRecord(
            id=row.id,
            site_id=row.site_id,
            on_date=row.on_date,
            technician=row.technician,
            technician_id=row.technician_id,
            outcome=row.outcome,
            done=tuple(done[row.id]),
            note=row.note,
            recorded_by=row.recorded_by,
            recorded_at=row.recorded_at,
            supersedes=row.supersedes or "",
            readings=tuple(readings[row.id]),
        )
        for row in rows
    ]


def readings_of(session: Session, site_id: int) -> list[Reading]:
    """Return all readings of a site, the oldest first, superseded ones included."""
    rows = session.scalars(
        select(ReadingRow)
        .where(ReadingRow.site_id == site_id)
        .order_by(ReadingRow.read_on, ReadingRow.kind, ReadingRow.id)
    )
    return [
        Reading(
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
            supersedes=row.supersedes or "",
        )
        for row in rows
    ]
