"""The clocks of a route, kept so that one more call in any of its gaps is judged at once.

Before each leg stand the earliest moments at which it can be begun, with lunch to come and with
lunch behind, and the latest ones from which the rest still holds. Calls more change the legs around
them only; the route holds with them exactly if these legs, walked from the earliest, end no later
than the latest.
"""

from collections.abc import Callable, Hashable, Sequence
from itertools import accumulate
from typing import Any, NamedTuple

from registry.plan.clock import Leg, windows_of
from registry.plan.problem import (
    ANYWHERE,
    Call,
    DayProblem,
    OnDuty,
    RouteCalls,
    Window,
    place_of,
    places_of,
)
from registry.plan.road_hours import ways_of
from registry.plan.slack import earliest, latest, on_after


class Option(NamedTuple):
    """A route with calls more: legs ``first`` to ``last`` of the route gave way to ``legs``.

    ``least_s`` is driven at the least, ``busy_s`` goes into driving and service at the least.
    """

    calls: RouteCalls
    first: int
    last: int
    legs: tuple[Leg, ...]
    least_s: int
    busy_s: int
    is_cut_off: bool


class Gaps:
    """A technician’s route as it is asked about again and again."""

    def __init__(self, known: "Clocks", technician: int, calls: RouteCalls) -> None:
        self.known = known
        self.who: OnDuty = known.problem.technicians[technician]
        self.calls = calls
        self.places = places_of(known.problem, technician, calls)
        ends: tuple[Call | None, ...] = (*calls, None)
        self.legs = [
            known.leg(self.who.table, here, there, call)
            for here, there, call in zip(self.places[:-1], self.places[1:], ends, strict=True)
        ]
        self.earliest = earliest(self.legs, self.who)
        self.latest = latest(self.legs, self.who)
        least = [leg.least_s for leg in self.legs]
        self.least_s = list(accumulate(least, initial=0))
        busy = (one_s + leg.service_s for one_s, leg in zip(least, self.legs, strict=True))
        self.busy_s = list(accumulate(busy, initial=0))
        self.cut_off = list(accumulate((leg.is_cut_off for leg in self.legs), initial=0))

    def option(self, first: int, new: Sequence[Call], last: int) -> Option:
        """Return the route with other calls in place of its calls ``first`` to ``last``."""
        legs: list[Leg] = []
        here = self.places[first]
        for call in new:
            place = place_of(self.known.problem, call)
            there = here if place == ANYWHERE else place
            legs.append(self.known.leg(self.who.table, here, there, call))
            here = there
        at = last
        while at < len(self.legs) and here != self.places[at]:
            following = self.calls[at] if at < len(self.calls) else None
            there = self.places[at + 1]
            if following is not None and place_of(self.known.problem, following) == ANYWHERE:
                there = here
            legs.append(self.known.leg(self.who.table, here, there, following))
            here = there
            at += 1
        least_s = sum(leg.least_s for leg in legs)
        service_s = sum(leg.service_s for leg in legs)
        return Option(
            (*self.calls[:first], *new, *self.calls[last:]),
            first,
            at,
            tuple(legs),
            self.least_s[-1] - self.least_s[at] + self.least_s[first] + least_s,
            self.busy_s[-1] - self.busy_s[at] + self.busy_s[first] + least_s + service_s,
            any(leg.is_cut_off for leg in legs)
            or self.cut_off[-1] - self.cut_off[at] + self.cut_off[first] > 0,
        )

    def holds(self, option: Option) -> bool:
        """Tell whether a route keeps its hours with calls more."""
        now = self.earliest[option.first]
        for leg in option.legs:
            now = on_after(leg, now, self.who.lunch)
        hungry_s, fed_s = now
        latest_hungry_s, latest_fed_s = self.latest[option.last]
        if fed_s is not None and fed_s <= latest_fed_s:
            return True
        return hungry_s is not None and hungry_s <= latest_hungry_s

    def legs_with(self, option: Option) -> list[Leg]:
        """Return all legs of a route with calls more."""
        return [*self.legs[: option.first], *option.legs, *self.legs[option.last :]]


class Clocks:
    """What has been found out about the routes of one day, kept as long as it is asked about."""

    def __init__(self, problem: DayProblem) -> None:
        self.problem = problem
        self._legs: dict[tuple[int, int, int, Call | None], Leg] = {}
        self._gaps: dict[tuple[int, RouteCalls], Gaps] = {}
        self._kept: dict[Hashable, Any] = {}

    def gaps(self, technician: int, calls: RouteCalls) -> Gaps:
        """Return the clocks of a route."""
        key = technician, calls
        if key not in self._gaps:
            self._gaps[key] = Gaps(self, technician, calls)
        return self._gaps[key]

    def told[T](
        self, ask: Callable[[DayProblem, int, RouteCalls], T], technician: int, calls: RouteCalls
    ) -> T:
        """Return what a function says of a technician’s route, asking it once."""
        key = ask, technician, calls
        return self.kept(key, lambda: ask(self.problem, technician, calls))

    def kept[T](self, key: Hashable, make: Callable[[], T]) -> T:
        """Return what is kept under a key, made once."""
        if key not in self._kept:
            self._kept[key] = make()
        kept: T = self._kept[key]
        return kept

    def leg(self, table: int, here: int, there: int, call: Call | None) -> Leg:
        """Return the leg between two places to a call, None = to where the route ends."""
        key = table, here, there, call
        known = self._legs.get(key)
        if known is None:
            known = self._legs[key] = self._leg(*key)
        return known

    def _leg(self, table: int, here: int, there: int, call: Call | None) -> Leg:
        problem = self.problem
        windows: tuple[Window, ...] = ()
        service_s = 0
        if call is not None:
            windows = windows_of(problem, call)
            service_s = (problem.fills if call.is_fill else problem.visits)[call.which].service_s
        travel_s = problem.more_tables[table - 1].travel_s if table else problem.travel_s
        travel_m = problem.more_tables[table - 1].travel_m if table else problem.travel_m
        ways = ways_of(problem, table, here, there)
        drive_s, drive_m = int(travel_s[here, there]), int(travel_m[here, there])
        return Leg(drive_s, windows, service_s, drive_m, ways)
