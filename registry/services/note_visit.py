"""What a visit tells the office while the day runs: somebody is on site, a visit has ended."""

from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from registry.field.closing import still_owed
from registry.plan.running import AT_STOP
from registry.privacy import require
from registry.records.changes import Viewer
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


COMES_AND_GOES = {"arrival": NoteKind.ON_SITE, "departure": NoteKind.LEFT}
"""Kinds of records that say no more than that somebody came or went."""


def note_coming(
    session: Session,
    viewer: Viewer,
    kind: NoteKind,
    site_id: int,
    on_date: date,
    at: datetime,
    now: datetime,
) -> None:
    """Note that a technician came to a site or left it; said twice it is noted once.

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
    note = DayNote(
        on_date=on_date,
        kind=kind,
        at_min=_minute(at, zone),
        technician_id=viewer.technician_id,
        site_id=site.id,
        noted_by=viewer.name,
    )
    _add(session, site, note, now)


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
    note = DayNote(
        on_date=visit.on_date,
        kind=KIND[visit.ending],
        at_min=_minute(left_at, zone),
        technician_id=visit.technician_id,
        site_id=site.id,
        text=", ".join(filter(None, words))[:200],
        noted_by=viewer.name,
    )
    _add(session, site, note, now)


def note_off_route(
    session: Session,
    viewer: Viewer,
    site: Site,
    visit: GateVisit,
    why: str,
    now: datetime,
    zone: str,
) -> None:
    """Tell the office that a technician recorded at a site off the own route, and why."""
    note = DayNote(
        on_date=visit.on_date,
        kind=NoteKind.OFF_ROUTE,
        at_min=_minute(now, zone),
        technician_id=visit.technician_id,
        site_id=site.id,
        text=why,
        noted_by=viewer.name,
    )
    day_notes.add_note(session, site.firm_id, note, now)


def _minute(at: datetime, zone: str) -> int:
    local = at.astimezone(ZoneInfo(zone))
    return local.hour * MIN_PER_H + local.minute


def _add(session: Session, site: Site, note: DayNote, now: datetime) -> None:
    """Add a note unless it was made before, or the last one of this stop says the same."""
    known = [
        one
        for one in day_notes.notes_on(session, site.firm_id, note.on_date)
        if (one.site_id, one.technician_id) == (note.site_id, note.technician_id)
        and one.kind in AT_STOP
    ]
    last = max(known, key=lambda one: (one.at_min, one.id), default=None)
    again = (note.kind, note.at_min) in {(one.kind, one.at_min) for one in known}
    if not again and (last is None or last.kind is not note.kind):
        day_notes.add_note(session, site.firm_id, note, now)
