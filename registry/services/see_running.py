"""What is to be seen of a day that runs: where everybody is, what was noted, all its plans."""

from dataclasses import dataclass
from datetime import date, tzinfo
from typing import Any
from zoneinfo import ZoneInfo

from registry.plan.alone import Silence, silences
from registry.plan.day_changes import moves_between
from registry.plan.from_records import TWO_PERSON_CREW
from registry.plan.running import Standing, where_all_are
from registry.plan.say import clock, minutes
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.day import Day
from registry.records.day_notes import DayNote, NoteKind
from registry.records.day_versions import DayVersion, MadeHow, Move
from registry.services.own_route import plans_seen
from registry.services.run_day import ACT, Reordered, told
from registry.services.see_day import firm_of
from registry.store import Session, crew, day_notes, day_versions, days, names, places, sites
from registry.units import S_PER_MIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Whereabouts:
    """Where one technician is, in words; ``next_site`` is the first open stop, empty = none."""

    technician_id: int
    technician: str
    said: str
    next_site: str = ""
    late_min: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class NotHeardOf:
    """Somebody who works alone and has not reported in time, in words; ``phone`` "" = none."""

    technician_id: int
    technician: str
    site_id: int
    site: str
    said: str
    phone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NoteTold:
    """A note in words."""

    id: int
    said: str
    noted_by: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Running:
    """A day that runs. ``changed`` is what moved by the plan in force, None = it is the first.

    ``alone`` are those who work alone and have not reported in time. ``seen_by`` names the
    technicians who said to have seen the plan in force.
    """

    at_min: int
    people: tuple[Whereabouts, ...]
    notes: tuple[NoteTold, ...]
    versions: tuple[DayVersion, ...]
    changed: Reordered | None = None
    alone: tuple[NotHeardOf, ...] = ()
    seen_by: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return what a script reads."""
        return {
            "at": clock(self.at_min * S_PER_MIN),
            "people": [
                {
                    "technician": one.technician,
                    "said": one.said,
                    "next_site": one.next_site or None,
                    "late_min": one.late_min,
                }
                for one in self.people
            ],
            "alone": [
                {
                    "technician": one.technician,
                    "site": one.site,
                    "said": one.said,
                    "phone": one.phone or None,
                }
                for one in self.alone
            ],
            "notes": [
                {"note": one.id, "said": one.said, "noted_by": one.noted_by} for one in self.notes
            ],
            "versions": [
                {
                    "number": one.number,
                    "made_how": one.made_how,
                    "made_by": one.made_by,
                    "made_at": one.made_at,
                    "note": one.note,
                }
                for one in self.versions
            ],
        }


def see_running(session: Session, viewer: Viewer, on_date: date, at_min: int) -> Running:
    """Return how a day goes at a time, local minutes after midnight; empty where none is planned.

    Raises
    ------
    AccessError
        If the role may not note how a day goes.
    """
    require(viewer, ACT)
    firm_id = firm_of(session, viewer)
    notes = day_notes.notes_on(session, firm_id, on_date)
    versions = tuple(day_versions.versions_of(session, firm_id, on_date))
    day = days.day_of(session, firm_id, on_date)
    standings = where_all_are(day, notes, at_min * S_PER_MIN) if day else ()
    return Running(
        at_min=at_min,
        people=tuple(_whereabouts(one) for one in standings),
        notes=_told(session, firm_id, notes),
        versions=versions,
        changed=_changed(session, day, versions, notes),
        alone=_alone(session, firm_id, day, notes, at_min) if day else (),
        seen_by=tuple(
            one.technician
            for one in (day.routes if day else ())
            if day and day.number in plans_seen(notes, one.technician_id)
        ),
    )


def see_version(
    session: Session, viewer: Viewer, on_date: date, number: int
) -> tuple[Day, tuple[Move, ...], tzinfo]:
    """Return an old plan, what moved from it to the plan in force, and the firm's time zone.

    Raises
    ------
    NotFoundError
        If there is no such version.
    """
    require(viewer, "order the day")
    firm_id = firm_of(session, viewer)
    old = day_versions.day_version(session, firm_id, on_date, number)
    now = days.day_of(session, firm_id, on_date)
    return old, moves_between(old, now), ZoneInfo(names.zone_of_firm(session, firm_id))


def _changed(
    session: Session, day: Day | None, versions: tuple[DayVersion, ...], notes: list[DayNote]
) -> Reordered | None:
    """Return what the plan in force changed, where it was made from another one that day."""
    if day is None or versions[0].made_how == MadeHow.ORDERED or not versions[0].made_from:
        return None
    before = day_versions.day_version(session, day.firm_id, day.on_date, versions[0].made_from)
    return told(before, day, notes)


def _alone(
    session: Session, firm_id: int, day: Day, notes: list[DayNote], at_min: int
) -> tuple[NotHeardOf, ...]:
    people = {one.id: one for one in crew.technicians(session, firm_id)}
    crews = {one.id for one in people.values() if TWO_PERSON_CREW in one.skills}
    margin_min = places.firm(session, firm_id).alone_margin_min
    found = silences(day, notes, crews, margin_min, at_min)
    strange = [one.site_id for one in found if one.stop is None]
    keys = {site.id: site.key for site in sites.sites(session, strange)} if strange else {}
    return tuple(
        NotHeardOf(
            technician_id=one.technician_id,
            technician=one.technician,
            site_id=one.site_id,
            site=one.stop.site if one.stop else keys.get(one.site_id, ""),
            said=_silence_words(one, keys),
            phone=people[one.technician_id].phone if one.technician_id in people else "",
        )
        for one in found
    )


def _silence_words(one: Silence, keys: dict[int, str]) -> str:
    where = keys.get(one.site_id, "")
    if one.stop:
        where = f"{one.stop.site}, {one.stop.place}" if one.stop.place else one.stop.site
    expected = clock(one.expected_min * S_PER_MIN)
    if one.since_min is None:
        return f"was to be at {where} by {expected}; nothing is noted of them on this date."
    since = clock(one.since_min * S_PER_MIN)
    if one.on_site:
        return (
            f"on site at {where} since {since}; was to be over by {expected}. Not heard of since."
        )
    return f"was to be at {where} by {expected}; last heard of at {since}."


def _whereabouts(one: Standing) -> Whereabouts:
    name, next_stop = one.route.technician, next((s for s in one.open if s.site), None)
    late_min = round(one.late_s / S_PER_MIN)
    late = ""
    if abs(late_min) >= 1:
        late = f" {minutes(abs(one.late_s))} {'late' if late_min > 0 else 'ahead'}."
    by = "" if one.noted else " By the plan; nothing is noted yet."
    if one.gone_home:
        said = f"Has gone home; {len(one.open)} stops are open."
    elif not one.fixed:
        said = f"Has not left yet; leaves {one.route.leaves:%H:%M}."
    elif not one.open:
        said = f"All stops are done or under way; free {clock(one.free_s)}."
    else:
        last = one.done[-1]
        said = f"At {last.site or last.place}, free {clock(one.free_s)}; {len(one.open)} to go."
    return Whereabouts(
        technician_id=one.route.technician_id,
        technician=name,
        said=said + late + by,
        next_site=next_stop.site if next_stop else "",
        late_min=late_min,
    )


def _told(session: Session, firm_id: int, notes: list[DayNote]) -> tuple[NoteTold, ...]:
    people = {id_: name for name, id_ in names.technician_ids(session, firm_id).items()}
    wanted = [one.site_id for one in notes if one.site_id is not None]
    keys = {site.id: site.key for site in sites.sites(session, wanted)}
    return tuple(
        NoteTold(
            id=one.id,
            said=_words(
                one, people.get(one.technician_id or 0, ""), keys.get(one.site_id or 0, "")
            ),
            noted_by=one.noted_by,
        )
        for one in notes
    )


def _words(one: DayNote, technician: str, site: str) -> str:
    who = technician or site
    said = {
        NoteKind.ON_SITE: f"{site} begun",
        NoteKind.DONE: f"{site} done",
        NoteKind.NOT_REACHED: f"{site} not reached",
        NoteKind.LATE: f"{who} is {one.minutes or 0:.0f} min late",
        NoteKind.GONE_HOME: f"{who} goes home",
        NoteKind.LEFT: f"{site} left, visit not closed",
        NoteKind.HEARD: f"heard from {who}",
        NoteKind.OFF_ROUTE: f"{technician} recorded at {site}",
        NoteKind.SEEN: f"{who} has seen plan {one.text}",
        NoteKind.ORDER: f"{who} goes on in another order",
        NoteKind.CALL: f"alarm call from {site}",
    }[one.kind]
    if one.from_min is not None or one.to_min is not None:
        begins, ends = (one.from_min or 0) * S_PER_MIN, (one.to_min or 1440) * S_PER_MIN
        said += f", promised {clock(begins)}–{clock(ends)}"
    text = f". {one.text}" if one.text and one.kind is not NoteKind.SEEN else ""
    return f"{clock(one.at_min * S_PER_MIN)} {said}{text}"
