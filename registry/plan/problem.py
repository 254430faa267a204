"""The day's problem as the solvers see it: places by index, whole seconds, whole metres.

Moments are seconds after local midnight of the day. Places are indices into the travel matrices.
"""

from dataclasses import dataclass
from datetime import date
from itertools import pairwise
from typing import NamedTuple

import numpy as np
import numpy.typing as npt

UNREACHABLE_S = 10_000_000
"""Stands in ``travel_s`` (and ``travel_m``) where no road leads; 116 days, so it fits in no shift.

A leg of this length or more is never driven, not even where it would seem to fit.
"""

DAY_S = 86_400

WATER_SLACK_GAL = 0.01
"""Less than a gauge can show: sums of gallons that were converted from litres may miss by this."""

type Window = tuple[int, int]
type Matrix64 = npt.NDArray[np.int64]


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
    ``tank_gal`` None = no limit on water; ``capacity`` None = no limit on load. ``people`` is how
    many come along, the technician included.
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
    capacity: int | None = None
    people: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFill:
    """A place that fills a tank; ``window`` holds the start of filling, None = always open."""

    id: str
    name: str
    place: int
    service_s: int
    window: Window | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayVisit:
    """A visit that may be made on the day.

    Service *starts* in one of ``windows`` (never empty, in order, not overlapping). ``worth_s`` is
    the price of leaving the visit for another day, in seconds of driving. ``required``: must be on
    a route. ``held_by``: index of the only technician who may make it. ``demand`` counts against a
    technician's ``capacity``.
    """

    id: str
    name: str
    place: int
    service_s: int
    windows: tuple[Window, ...]
    skills: frozenset[str] = frozenset()
    water_gal: float = 0.0
    demand: int = 0
    people: int = 1
    worth_s: int = 0
    required: bool = False
    held_by: int | None = None
    days_overdue: int = 0


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
    ``UNREACHABLE_S`` where no road leads. The cost of a plan is the driving seconds of all
    technicians plus ``worth_s`` of every visit on no route; waiting and lunch cost nothing.
    """

    name: str
    travel_s: Matrix64
    travel_m: Matrix64
    technicians: tuple[OnDuty, ...]
    visits: tuple[DayVisit, ...]
    fills: tuple[DayFill, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    notes: tuple[str, ...] = ()

    def may_make(self, technician: int, visit: int) -> bool:
        """Tell whether a technician has the skills, the people and the leave to make a visit."""
        who, what = self.technicians[technician], self.visits[visit]
        return (
            what.skills <= who.skills
            and what.people <= who.people
            and what.held_by in (None, technician)
            and (who.tank_gal is None or what.water_gal <= who.tank_gal + WATER_SLACK_GAL)
            and (who.capacity is None or what.demand <= who.capacity)
        )


class Call(NamedTuple):
    """One call on a route: a visit, or a fill point, by its index in the problem."""

    which: int
    is_fill: bool = False


type RouteCalls = tuple[Call, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """What a solver answers: one tuple of calls per technician of the problem, in their order.

    ``engine`` says in words what searched; ``rounds`` and ``seconds`` how much.
    """

    routes: tuple[RouteCalls, ...]
    engine: str
    rounds: int = 0
    seconds: float = 0.0


def place_of(problem: DayProblem, call: Call) -> int:
    """Return the place of a call."""
    return (problem.fills[call.which] if call.is_fill else problem.visits[call.which]).place


def drive_of(problem: DayProblem, technician: int, calls: RouteCalls) -> tuple[int, int]:
    """Return seconds and metres driven on a route; an empty route is not driven."""
    if not calls:
        return 0, 0
    who = problem.technicians[technician]
    places = [who.start_place, *(place_of(problem, call) for call in calls), who.end_place]
    legs = list(pairwise(places))
    return (
        sum(int(problem.travel_s[a, b]) for a, b in legs),
        sum(int(problem.travel_m[a, b]) for a, b in legs),
    )


def cost_of(problem: DayProblem, routes: tuple[RouteCalls, ...]) -> int:
    """Return the cost of routes in seconds: driving plus the worth of what waits."""
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    waits = sum(visit.worth_s for i, visit in enumerate(problem.visits) if i not in made)
    return waits + sum(drive_of(problem, k, calls)[0] for k, calls in enumerate(routes))
