"""Visits: those that are due, and those that were made (append-only) with their readings."""

from dataclasses import dataclass, field
from datetime import date, datetime

from registry.records.places import LonLat

FOLLOW_UP = "follow-up"
"""The task of a held visit to a site at which a finding waits to be mended."""

BEFORE_WATER = "before high water"
"""The task of a visit that is held before a river rises; the note of such a hold begins so."""


@dataclass(frozen=True, slots=True)
class Traced:
    """One part of a number and where it comes from."""

    label: str
    value: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """A visit fixed by the dispatcher: to a technician, or to be made by anyone that day.

    ``from_min`` to ``to_min`` is what was promised to the owner, local minutes in which work
    starts; None = any time that the site allows.
    """

    site_id: int
    on_date: date
    technician_id: int | None = None
    held_by: str = ""
    note: str = ""
    from_min: int | None = None
    to_min: int | None = None

    @property
    def is_before_water(self) -> bool:
        """Whether the visit is held to make a site ready for high water."""
        return self.note.startswith(BEFORE_WATER)


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleOut:
    """A technician who does not go to a site; ``on_date`` None = until further notice."""

    site_id: int
    technician_id: int
    on_date: date | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitLink:
    """Two sites on one date: work at the second starts once the first is over."""

    on_date: date
    first_site_id: int
    then_site_id: int
    same_truck: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Errand:
    """A stop at a place outside that must be made: a laboratory that closes, parts to fetch.

    ``from_min`` to ``to_min`` are local minutes in which it starts. ``technician_id`` None =
    anyone.
    """

    id: int = 0
    on_date: date
    name: str
    lon_lat: LonLat
    minutes: float = 10.0
    from_min: int = 0
    to_min: int = 1440
    technician_id: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class DueVisit:
    """The due obligations of one site that are done in one stop on a date.

    ``follow_ups`` are the kinds of findings that wait there to be mended, of a held visit.

    ``windows`` are the local minutes in which work may start (empty = closed that day, see
    ``closed_why``; the whole day is ``((0, 1440),)``). ``worth_s`` is what the visit is worth, in
    seconds of driving. ``water_bring_gal`` = needed - available on site, never below 0.
    ``purge_gal`` of what is needed is for purging laterals; ``purge_hose_min`` are the minutes of
    hose that this takes, None where no purge plan can be made. ``walk_ft`` is the walk that the
    site's note names, None = none; ``walk_min`` is the walking that ``service_min`` holds, there
    and back.
    """

    site_id: int
    site_key: str
    site_name: str = ""
    lon_lat: LonLat | None
    obligation_ids: tuple[int, ...] = ()
    tasks: tuple[str, ...]
    service_min: float
    minutes_trace: tuple[Traced, ...] = ()
    water_needed_gal: float = 0.0
    water_bring_gal: float = 0.0
    water_trace: tuple[Traced, ...] = ()
    purge_gal: float = 0.0
    purge_hose_min: float | None = None
    septage_gal: float = 0.0
    septage_trace: tuple[Traced, ...] = ()
    tools: tuple[str, ...] = ()
    licences: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()
    people: int = 1
    windows: tuple[tuple[int, int], ...] = ((0, 1440),)
    closed_why: str = ""
    due_on: date
    days_overdue: int
    worth_s: float
    worth_trace: tuple[Traced, ...] = ()
    hold: Hold | None = None
    jurisdiction: str = ""
    walk_ft: float | None = None
    walk_min: float = 0.0
    follow_ups: tuple[str, ...] = ()

    @property
    def task_words(self) -> tuple[str, ...]:
        """The tasks as people read them: a follow-up names what was found."""
        said = f"{FOLLOW_UP}: {', '.join(self.follow_ups)}"
        return tuple(said if one == FOLLOW_UP else one for one in self.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One value read at a site; ``supersedes`` names the reading that this one corrects.

    ``answer`` is what was said when the value raised a question, such as "rolled over". A reading
    with neither value nor text that supersedes another takes it back.
    """

    id: str
    visit_id: str
    site_id: int
    system_id: int | None = None
    component_id: int | None = None
    kind: str
    value: float | None
    text: str = ""
    unit: str = ""
    read_on: date
    note: str = ""
    answer: str = ""
    supersedes: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitRecord:
    """One visit that was made; append-only. ``outcome``: in order, follow-up owed or not reached.

    ``done`` lists (system_id, task) pairs; only what was done counts as done.
    """

    id: str
    site_id: int
    on_date: date
    technician: str = ""
    technician_id: int | None = None
    outcome: str = "in order"
    done: tuple[tuple[int, str], ...] = ()
    note: str = ""
    recorded_by: str = ""
    recorded_at: datetime | None = None
    supersedes: str = ""
    readings: tuple[Reading, ...] = field(default=())
