"""A technician goes another way round than planned: the office is told in which order."""

from collections.abc import Sequence
from datetime import date, datetime
from zoneinfo import ZoneInfo

from registry.errors import RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.day_notes import DayNote, NoteKind
from registry.services.see_day import firm_of
from registry.services.seen_site import seen_site
from registry.services.visit_form import ACT
from registry.store import Session, day_notes, names
from registry.units import MIN_PER_H

MOST_STOPS = 100


def note_own_order(
    session: Session,
    viewer: Viewer,
    on_date: date,
    site_ids: Sequence[int],
    at: datetime,
    now: datetime,
) -> None:
    """Note in which order a technician makes the stops that remain; the plan stays as it is.

    Said twice it is noted once.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If a site is not the viewer's.
    RangeError
        If the sign-in is no technician's, or the order names no stop.
    """
    require(viewer, ACT)
    if viewer.technician_id is None:
        raise RangeError("This sign-in is no technician's, so it has no stops to order.")
    if not 0 < len(site_ids) <= MOST_STOPS:
        raise RangeError(f"An order names from 1 to {MOST_STOPS} stops.")
    firm_id = firm_of(session, viewer)
    keys = [seen_site(session, viewer, site_id).key for site_id in site_ids]
    local = at.astimezone(ZoneInfo(names.zone_of_firm(session, firm_id)))
    note = DayNote(
        on_date=on_date,
        kind=NoteKind.ORDER,
        at_min=local.hour * MIN_PER_H + local.minute,
        technician_id=viewer.technician_id,
        text=", ".join(keys),
        noted_by=viewer.name,
    )
    before = [
        one.text
        for one in day_notes.notes_on(session, firm_id, on_date)
        if one.kind is NoteKind.ORDER and one.technician_id == viewer.technician_id
    ]
    if before[-1:] != [note.text]:
        day_notes.add_note(session, firm_id, note, now)
