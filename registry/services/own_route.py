"""What a changed plan means for one technician, and that the technician has seen it."""

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from registry.plan.day_changes import moves_between, own_move_words
from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.records.day_notes import DayNote, NoteKind
from registry.records.places import Site
from registry.services.see_day import firm_of
from registry.store import Session, day_notes, day_versions, days, names
from registry.units import MIN_PER_H

ACT = "see the day"


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteChange:
    """The plan in force by its number, 0 = none, and what it changed for one technician, in words.

    ``changed_at`` is the time of day at which the plan was made, empty where nothing changed.
    """

    number: int
    changed_at: str = ""
    said: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return what a script reads."""
        return {"number": self.number, "changed_at": self.changed_at, "said": self.said}


def own_route_change(session: Session, viewer: Viewer, on_date: date, since: int) -> RouteChange:
    """Return what changed on the viewer's own route since a version of a date's plan.

    Parameters
    ----------
    since
        The version that the technician knows; 0 = none yet, then nothing has changed.

    Raises
    ------
    AccessError
        If the role may not see days.
    NotFoundError
        If there is no such version.
    """
    require(viewer, ACT)
    firm_id = firm_of(session, viewer)
    number = day_versions.version_in_force(session, firm_id, on_date)
    if viewer.technician_id is None or not 0 < since < number:
        return RouteChange(number=number)
    before = day_versions.day_version(session, firm_id, on_date, since)
    now = days.day_of(session, firm_id, on_date)
    zone = ZoneInfo(names.zone_of_firm(session, firm_id))
    told = (own_move_words(one, viewer.technician_id, zone) for one in moves_between(before, now))
    said = tuple(one for one in told if one)
    made_at = now.made_at if now else None
    return RouteChange(
        number=number,
        changed_at=f"{made_at.astimezone(zone):%H:%M}" if said and made_at else "",
        said=said,
    )


def is_off_route(session: Session, viewer: Viewer, site: Site, on_date: date) -> bool:
    """Tell whether a site is on none of the plans of a technician's route of a date.

    Any version of the plan counts, since a phone may not know the newest one. A date without a plan
    has no routes to be off; others than technicians have no route.
    """
    if viewer.role is not Role.TECHNICIAN:
        return False
    numbers = [one.number for one in day_versions.versions_of(session, site.firm_id, on_date)]
    for number in numbers:
        day = day_versions.day_version(session, site.firm_id, on_date, number)
        if any(
            stop.site_id == site.id
            for route in day.routes
            if route.technician_id == viewer.technician_id
            for stop in route.visits
        ):
            return False
    return bool(numbers)


def note_seen(session: Session, viewer: Viewer, on_date: date, number: int, now: datetime) -> None:
    """Note for the office that a technician has seen a version of the plan; once is enough.

    Raises
    ------
    AccessError
        If the role may not see days.
    NotFoundError
        If there is no such version.
    """
    require(viewer, ACT)
    firm_id = firm_of(session, viewer)
    day_versions.day_version(session, firm_id, on_date, number)
    if viewer.technician_id is None or number in plans_seen(
        day_notes.notes_on(session, firm_id, on_date), viewer.technician_id
    ):
        return
    local = now.astimezone(ZoneInfo(names.zone_of_firm(session, firm_id)))
    note = DayNote(
        on_date=on_date,
        kind=NoteKind.SEEN,
        at_min=local.hour * MIN_PER_H + local.minute,
        technician_id=viewer.technician_id,
        text=str(number),
        noted_by=viewer.name,
    )
    day_notes.add_note(session, firm_id, note, now)


def plans_seen(notes: list[DayNote], technician_id: int) -> set[int]:
    """Return the versions that a technician said to have seen."""
    return {
        int(one.text)
        for one in notes
        if one.kind is NoteKind.SEEN and one.technician_id == technician_id and one.text.isdigit()
    }
