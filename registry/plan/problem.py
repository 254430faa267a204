"""The day's problem as the solvers see it: places by index, whole seconds, whole metres.

Moments are seconds after local midnight of the day. Places are indices into the travel matrices.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

UNREACHABLE_S = 10_000_000
"""Stands in ``travel_s`` (and ``travel_m``) where no road leads; 116 days, so it fits in no shift.

A leg of this length or more is never driven, not even where it would seem to fit.
"""

DAY_S = 86_400

ANYWHERE = -1
"""The place of a visit that is made wherever the technician then is, such as a slot kept free."""

PERCENT = 100

WATER_SLACK_GAL = 0.01
"""Less than a gauge can show: sums of gallons that were converted from litres may miss by this."""

type Window = tuple[int, int]
type Matrix64 = npt.NDArray[np.int64]
type Flags64 = npt.NDArray[np.bool_]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lunch:
    """Lunch *starts* between ``from_s`` and ``to_s`` and lasts ``duration_s``.

    Not during a service; driving may be broken off for it. A technician back at the end place by
    ``to_s`` needs none, nor does one without visits.
    """

    from_s: int
    to_s: int
    duration_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class OnDuty:
    """A technician on the day: leaves ``start_place`` and is at ``end_place`` within the shift.

    ``skills`` are words, licences that are valid on the date among them. ``lapsed`` names licences
    that are not valid on the date, each with the last day on which it was (None = not yet valid).
    ``tank_gal`` None = no limit on water; ``room_gal`` None = no limit on septage;
    ``water_used_gal`` and ``septage_gal`` say what is gone from the one and stands in the other at
    the start. ``capacity`` None = no limit on load. ``people`` is how many come along, the
    technician included. ``table`` says which travel table holds for the truck.

    Up to ``overtime_s`` after the shift may be worked; a second of it costs ``overtime_percent``
    hundredths of a second of driving. At most ``most_drive_s`` are driven. Driving and service
    beyond ``even_s`` cost ``uneven_percent`` hundredths.
    """

    id: str
    name: str
    start_place: int
    end_place: int
    shift_from_s: int
    shift_to_s: int
    lunch: Lunch | None = None
    skills: frozenset[str] = frozenset()
    lapsed: tuple[tuple[str, date | None], ...] = ()
    tank_gal: float | None = None
    room_gal: float | None = None
    water_used_gal: float = 0.0
    septage_gal: float = 0.0
    capacity: int | None = None
    people: int = 1
    table: int = 0
    overtime_s: int = 0
    overtime_percent: int = PERCENT
    most_drive_s: int | None = None
    even_s: int | None = None
    uneven_percent: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFill:
    """A place that fills the water tank or, if it ``empties``, takes all septage aboard.

    ``window`` holds the start of filling, None = always open.
    """

    id: str
    name: str
    place: int
    service_s: int
    window: Window | None = None
    empties: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DayVisit:
    """A visit that may be made on the day.

    Service *starts* in one of ``windows`` (never empty, in order, not overlapping). ``worth_s`` is
    the price of leaving the visit for another day, in seconds of driving. ``required``: must be on
    a route. ``held_by``: index of the only technician who may make it; ``ruled_out``: of those who
    may not. ``demand`` counts against a technician's ``capacity``, ``septage_gal`` against the
    ``room_gal``. ``place`` may be ``ANYWHERE``. Another technician than ``usual`` costs
    ``move_price_s``; ``prices_s`` holds what each technician costs besides (empty: nothing).
    """

    id: str
    name: str
    place: int
    service_s: int
    windows: tuple[Window, ...]
    skills: frozenset[str] = frozenset()
    water_gal: float = 0.0
    septage_gal: float = 0.0
    demand: int = 0
    people: int = 1
    worth_s: int = 0
    required: bool = False
    held_by: int | None = None
    ruled_out: frozenset[int] = frozenset()
    usual: int | None = None
    move_price_s: int = 0
    prices_s: tuple[int, ...] = ()
    days_overdue: int = 0

    def extra_s(self, technician: int) -> int:
        """Return what a technician costs for this visit besides the driving, in seconds."""
        moved_s = self.move_price_s if self.usual not in (None, technician) else 0
        return moved_s + (self.prices_s[technician] if self.prices_s else 0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """Two visits that depend on each other, by their index.

    ``together``: two technicians start at the same moment; neither comes without the other.
    Otherwise ``then`` starts no sooner than ``first`` is over, and is not made without it, by the
    same technician if ``same_truck``.
    """

    first: int
    then: int
    together: bool = False
    same_truck: bool = False


class Travel(NamedTuple):
    """A travel table: driving between all places, shape (n, n) each, from row to column."""

    travel_s: Matrix64
    travel_m: Matrix64


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Period:
    """Hours in which fewer roads are closed than the day's own tables drive around.

    ``tables`` stand for the day's own, in their order; no drive in them takes longer. One of their
    drives must begin and end between ``from_s`` and ``to_s``. ``opens`` and ``closes`` name the
    roads that open at the one moment and close at the other.
    """

    from_s: int
    to_s: int
    tables: tuple[Travel, ...]
    opens: tuple[str, ...] = ()
    closes: tuple[str, ...] = ()


class RoadHours(NamedTuple):
    """How the roads of a day depend on the hour.

    ``varies`` holds for each of the day's tables, (n, n) each, which drives any period shortens.
    """

    periods: tuple[Period, ...]
    varies: tuple[Flags64, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """A due visit that no solver is asked about, and why; ``why_word`` is stable for scripts."""

    id: str
    why_word: str
    why: str


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayProblem:
    """One day of one crew: who is on duty, what may be visited, and how long the roads take.

    ``travel_s`` and ``travel_m`` have shape (n, n), from row to column, not symmetric;
    ``UNREACHABLE_S`` where no road leads. They are table 0; ``more_tables`` follow, for trucks
    that may not take every road. What a plan costs is told in ``registry.plan.cost``.

    The tables hold at any hour: roads that are closed for some hours are driven around in them.
    ``hours`` says when a drive is shorter; None = never.
    """

    name: str
    travel_s: Matrix64
    travel_m: Matrix64
    technicians: tuple[OnDuty, ...]
    visits: tuple[DayVisit, ...]
    fills: tuple[DayFill, ...] = ()
    links: tuple[Link, ...] = ()
    more_tables: tuple[Travel, ...] = ()
    hours: RoadHours | None = None
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()

    def travel_of(self, technician: int) -> Travel:
        """Return the travel table that holds for a technician's truck."""
        table = self.technicians[technician].table
        return self.more_tables[table - 1] if table else Travel(self.travel_s, self.travel_m)

    def may_make(self, technician: int, visit: int) -> bool:
        """Tell whether a technician has the skills, the truck and the leave to make a visit."""
        who, what = self.technicians[technician], self.visits[visit]
        return (
            what.skills <= who.skills
            and what.people <= who.people
            and what.held_by in (None, technician)
            and technician not in what.ruled_out
            and (who.room_gal is None or what.septage_gal <= who.room_gal + WATER_SLACK_GAL)
            and (who.tank_gal is None or what.water_gal <= who.tank_gal + WATER_SLACK_GAL)
            and (who.capacity is None or what.demand <= who.capacity)
        )


class Call(NamedTuple):
    """One call on a route: a visit, or a fill point, by its index in the problem."""

    which: int
    is_fill: bool = False


type RouteCalls = tuple[Call, ...]


class Appointed(NamedTuple):
    """A window that a plan gives a visit, within the visit's own, so that linked visits agree."""

    visit: int
    opens_s: int
    closes_s: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """What a solver answers: one tuple of calls per technician of the problem, in their order.

    ``appointed`` holds the windows of linked visits, which the routes keep. ``engine`` says in
    words what searched; ``rounds`` and ``seconds`` how much.
    """

    routes: tuple[RouteCalls, ...]
    engine: str
    appointed: tuple[Appointed, ...] = ()
    rounds: int = 0
    seconds: float = 0.0


def place_of(problem: DayProblem, call: Call) -> int:
    """Return the place of a call."""
    return (problem.fills[call.which] if call.is_fill else problem.visits[call.which]).place


def places_of(problem: DayProblem, technician: int, calls: RouteCalls) -> list[int]:
    """Return all places of a route, its start and end included."""
    who = problem.technicians[technician]
    places = [who.start_place]
    for call in calls:
        place = place_of(problem, call)
        places.append(places[-1] if place == ANYWHERE else place)
    return [*places, who.end_place]


def with_appointed(problem: DayProblem, appointed: Iterable[Appointed]) -> DayProblem:
    """Return a problem in which some visits have the windows that a plan gives them."""
    visits = list(problem.visits)
    for visit, opens_s, closes_s in appointed:
        visits[visit] = replace(visits[visit], windows=((opens_s, closes_s),))
    return replace(problem, visits=tuple(visits))
