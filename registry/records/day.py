"""One date's routes for all technicians, and the visits left waiting."""

from dataclasses import dataclass, field
from datetime import date, datetime

from registry.records.places import LonLat


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One stop on a route. ``kind``: visit, fill or lunch. Moments are aware, in the county's zone.

    ``visit_id`` is what the day's problem calls the visit or the fill point, empty for lunch.
    ``drive_s``/``drive_m`` is the leg that leads here. ``window`` is the one the start falls in,
    None = open all day. Site fields are empty for fill and lunch. ``yard_s`` is the driving from
    the firm's yard to here, from the route's own start where ``Route.start_yard_s`` is None.
    ``walk_min`` is the part of ``minutes`` that is walked from the road's end and back.
    ``broken`` says in words which limits give way here, on a day that was changed by hand.
    ``sets_off`` is when the drive here begins where it waits for a road to open, None = at once;
    ``roads`` says in words what roads that are closed for hours mean for it. ``done`` says in words
    that it is done; told anew from notes and records whenever a day is shown.
    """

    kind: str = "visit"
    visit_id: str = ""
    site_id: int = 0
    site: str = ""
    place: str = ""
    lon_lat: LonLat | None = None
    arrives: datetime
    starts: datetime
    leaves: datetime
    window: tuple[datetime, datetime] | None = None
    tasks: tuple[str, ...] = ()
    minutes: float = 0.0
    water_gal: float = 0.0
    held: bool = False
    drive_s: float = 0.0
    drive_m: float = 0.0
    yard_s: float = 0.0
    walk_min: float = 0.0
    broken: tuple[str, ...] = ()
    sets_off: datetime | None = None
    roads: tuple[str, ...] = ()
    done: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Route:
    """One technician's route. ``line`` follows the roads (may be empty).

    ``broken`` says in words which limits give way on the way back; ``sets_off_back`` and
    ``roads_back`` tell of that drive what ``Stop`` tells of the others.

    ``start_yard_s`` and ``end_yard_s`` are the driving from the firm's yard to where the route
    starts and ends: 0 for who leaves from the yard, more for who leaves from home. None where no
    yard is known, and in a day kept before they were told.
    """

    technician_id: int
    technician: str
    initials: str = ""
    leaves: datetime
    returns: datetime
    shift: tuple[datetime, datetime]
    start: LonLat
    end: LonLat
    drive_s: float
    drive_m: float
    wait_s: float
    stops: tuple[Stop, ...]
    line: tuple[LonLat, ...] = ()
    start_yard_s: float | None = None
    end_yard_s: float | None = None
    broken: tuple[str, ...] = ()
    sets_off_back: datetime | None = None
    roads_back: tuple[str, ...] = ()

    @property
    def visits(self) -> tuple[Stop, ...]:
        """The stops at sites, lunch and fill stops left out."""
        return tuple(stop for stop in self.stops if stop.kind == "visit")


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """A due visit on no route; ``why_word`` is for scripts, ``why`` a sentence for people."""

    site_id: int
    site: str
    place: str = ""
    lon_lat: LonLat | None = None
    tasks: tuple[str, ...] = ()
    due_on: date
    days_overdue: int
    minutes: float = 0.0
    why_word: str
    why: str
    held: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadsUsed:
    """Which network the travel times came from; ``closed`` names closed stretches."""

    source: str
    built: datetime | None = None
    closed: tuple[str, ...] = ()
    credit: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosedHours:
    """Hours of a day in which a road is closed; drives by it lie before or after them."""

    name: str
    begins: datetime
    ends: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """One date's routes.

    ``cost`` is driving plus the worth of what waits [s];
    ``bound`` and ``gap`` are None until proven. ``number`` counts the versions of a date's plan,
    0 = not kept yet. ``horizon_days`` is how far ahead a task counted as due, None = by rule.
    ``closed_hours`` tells of the closures that do not hold all day.
    """

    on_date: date
    firm_id: int = 0
    routes: tuple[Route, ...]
    waiting: tuple[Waiting, ...]
    cost: float
    bound: float | None = None
    gap: float | None = None
    roads: RoadsUsed
    engine: str = ""
    seed: int = 0
    seconds: float = 0.0
    rounds: int = 0
    made_at: datetime | None = None
    number: int = 0
    horizon_days: int | None = None
    notes: tuple[str, ...] = field(default=())
    closed_hours: tuple[ClosedHours, ...] = ()
