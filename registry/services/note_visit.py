"""What a visit tells the office while the day runs: somebody is on site, a visit has ended."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from registry.field.closing import still_owed
from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.records.day_notes import DayNote, NoteKind
from registry.records.gate_visit import Ending, GateVisit
from registry.records.places import Site
from registry.services.seen_site import seen_site
from registry.services.visit_form import ACT
from registry.store import Session, day_notes, places
from registry.units import MIN_PER_H

KIND = {
    Ending.DONE: NoteKind.DONE,
    Ending.PARTLY: NoteKind.DONE,
    Ending.NOT_REACHED: NoteKind.NOT_REACHED,
    Ending.LEFT: NoteKind.NOT_REACHED,
}
"""How the ending of a visit stands in the notes of the day: what must be gone to again."""


def note_arrival(
    session: Session, viewer: Viewer, site_id: int, at: datetime, now: datetime
) -> None:
    """Note that a technician is on site; said twice it is noted once.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If there is no such site, or it is not the viewer's.
    """
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    zone = places.jurisdiction(session, site.jurisdiction_id).time_zone
    _note(session, viewer, site, NoteKind.ON_SITE, at.astimezone(ZoneInfo(zone)), now)


def note_ending(
    session: Session, viewer: Viewer, site: Site, visit: GateVisit, now: datetime, zone: str
) -> None:
    """Note how a visit ended, and what is left of it."""
    left_at = visit.left_at or now
    if visit.left_at is not None:
        left_at += timedelta(seconds=visit.device_offset_s or 0.0)
    words = [visit.left_open, *(one.task for one in still_owed(visit))]
    if visit.ending is Ending.LEFT:
        words.insert(0, "had to leave")
    text = ", ".join(filter(None, words))[:200]
    at = left_at.astimezone(ZoneInfo(zone))
    _note(session, viewer, site, KIND[visit.ending], at, now, text, visit.technician_id)


def _note(
    session: Session,
    viewer: Viewer,
    site: Site,
    kind: NoteKind,
    at: datetime,
    now: datetime,
    text: str = "",
    technician_id: int | None = None,
) -> None:
    who = viewer.technician_id if viewer.role is Role.TECHNICIAN else technician_id
    note = DayNote(
        on_date=at.date(),
        kind=kind,
        at_min=at.hour * MIN_PER_H + at.minute,
        technician_id=who,
        site_id=site.id,
        text=text,
        noted_by=viewer.name,
    )
    if not _is_noted(session, site, note):
        day_notes.add_note(session, site.firm_id, note, now)


def _is_noted(session: Session, site: Site, note: DayNote) -> bool:
    on_date: date = note.on_date
    return any(
        one.kind is note.kind and one.site_id == note.site_id
        for one in day_notes.notes_on(session, site.firm_id, on_date)
        if one.technician_id == note.technician_id
    )
