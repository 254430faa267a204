"""A kept day as the routes of a problem again, so that it can be asked about and changed."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime, time

from registry.plan.problem import (
    ANYWHERE,
    Appointed,
    Call,
    DayProblem,
    RouteCalls,
    Window,
    with_appointed,
)
from registry.records.day import Day, Stop


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class AtHand:
    """A kept plan as a problem's routes, with the windows that it gave to linked visits.

    ``gone`` names the stops that the problem does not know any more: a visit that is not due, a
    technician who is off.
    """

    problem: DayProblem
    routes: tuple[RouteCalls, ...]
    appointed: tuple[Appointed, ...] = ()
    gone: tuple[str, ...] = ()

    @property
    def fixed(self) -> DayProblem:
        """The problem in which linked visits keep the windows that the plan gave them."""
        return with_appointed(self.problem, self.appointed)


def from_day(day: Day, problem: DayProblem) -> AtHand:
    """Return a day as the routes of a problem made from today's records.

    A day kept before its stops were named is read by its sites and its fill points' names.
    """
    visit_at = {visit.id: i for i, visit in enumerate(problem.visits)}
    fill_at = {fill.id: i for i, fill in enumerate(problem.fills)}
    fill_at |= {fill.name: i for i, fill in enumerate(problem.fills) if fill.name not in fill_at}
    technician_at = {who.id: k for k, who in enumerate(problem.technicians)}
    tied = _tied(problem)
    routes: list[RouteCalls] = [()] * len(problem.technicians)
    appointed, gone = list[Appointed](), list[str]()
    for route in day.routes:
        number = technician_at.get(str(route.technician_id))
        calls = list[Call]()
        for stop in route.stops:
            call = _call(stop, visit_at, fill_at)
            if stop.kind in ("lunch", "missed"):
                continue
            if call is None or number is None:
                gone.append(stop.site or stop.place)
                continue
            calls.append(call)
            if not call.is_fill and call.which in tied and stop.window is not None:
                window = (
                    second_of(stop.window[0], day.on_date),
                    second_of(stop.window[1], day.on_date),
                )
                if _lies_in(window, problem.visits[call.which].windows):
                    appointed.append(Appointed(call.which, *window))
        if number is not None:
            routes[number] = tuple(calls)
    return AtHand(
        problem=problem, routes=tuple(routes), appointed=tuple(appointed), gone=tuple(gone)
    )


def _call(stop: Stop, visit_at: Mapping[str, int], fill_at: Mapping[str, int]) -> Call | None:
    """Return what a stop is in the problem, None if it knows no such thing."""
    if stop.kind in ("fill", "disposal"):
        at = fill_at.get(stop.visit_id, fill_at.get(stop.place))
        return None if at is None else Call(at, is_fill=True)
    at = visit_at.get(stop.visit_id or str(stop.site_id))
    return None if at is None else Call(at)


def _tied(problem: DayProblem) -> set[int]:
    """Return the visits that a plan gives a window of its own."""
    tied = {visit for link in problem.links for visit in (link.first, link.then)}
    return tied | {i for i, visit in enumerate(problem.visits) if visit.place == ANYWHERE}


def second_of(moment: datetime, on_date: date) -> int:
    """Return the wall clock's seconds after a date's midnight."""
    since = moment.replace(tzinfo=None) - datetime.combine(on_date, time())
    return round(since.total_seconds())


def _lies_in(window: Window, windows: tuple[Window, ...]) -> bool:
    return any(opens <= window[0] and window[1] <= closes for opens, closes in windows)
