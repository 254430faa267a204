"""Every place where a call could go on a day: what it costs there, and whether it breaks something.

One pass along the legs for each place, so that a day of 400 visits answers while a page waits.
"""

from dataclasses import dataclass, replace
from typing import NamedTuple

from registry.plan.breach import BreachKind
from registry.plan.broken import broken_by_leave, broken_by_links, hours_missed, tanks_along
from registry.plan.cost import route_cost
from registry.plan.drive_on import Late, drive_on, first_late
from registry.plan.driving import drive_of, driven_s
from registry.plan.gaps import Clocks
from registry.plan.moves import At, Edit, Routes, edited
from registry.plan.problem import Call, DayProblem, RouteCalls
from registry.plan.tanks import tanks_last


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A place for a call: before call ``number`` of a technician's route without it.

    ``cost_s`` is the change of what the day costs against where the call stands now, without
    overtime where a gate is missed; None where no road leads. ``breaks`` says in words what gives
    way there, and where; nothing if it holds.
    """

    technician: int
    number: int
    cost_s: int | None
    kind: BreachKind | None = None
    breaks: str = ""

    @property
    def fits(self) -> bool:
        """Whether the route holds with the call there."""
        return self.kind is None


class _There(NamedTuple):
    """A route with a call more: what it costs (None: no road leads there), and what gives way."""

    cost_s: int | None
    kind: BreachKind | None = None
    breaks: str = ""


def where_else(
    problem: DayProblem, routes: Routes, call: Call, at: At | None, known: Clocks | None = None
) -> tuple[Place, ...]:
    """Return all places for a call, technician by technician, in the order of their routes.

    Parameters
    ----------
    problem, routes
        The day as it stands.
    call, at
        What is to go elsewhere, and where it stands now; None = on no route.
    known
        What was found out about the day before.

    Raises
    ------
    RangeError
        If the call does not stand there.
    """
    known = known or Clocks(problem)
    left = edited(routes, Edit(call=call, at=at))
    linked = not call.is_fill and any(call.which in (one.first, one.then) for one in problem.links)
    costs = [known.told(_cost_s, k, calls) for k, calls in enumerate(left)]
    now_s = 0
    if at is not None:
        now_s = known.told(_cost_s, at[0], routes[at[0]]) - costs[at[0]]
    if at is None and not call.is_fill:
        now_s = problem.visits[call.which].worth_s
    found = tuple(
        Place(
            technician=k,
            number=number,
            cost_s=None if there.cost_s is None else there.cost_s - costs[k] - now_s,
            kind=there.kind,
            breaks=there.breaks,
        )
        for k, calls in enumerate(left)
        for number, there in enumerate(_along(known, k, calls, call))
    )
    return tuple(_with_links(problem, left, call, one) for one in found) if linked else found


def _with_links(problem: DayProblem, left: Routes, call: Call, place: Place) -> Place:
    """Return a place that fits, with what the visits linked to the call would break there."""
    if not place.fits:
        return place
    after = edited(left, Edit(call=call, to=(place.technician, place.number)))
    for k, broken in broken_by_links(
        problem, after, lambda k: drive_on(problem, k, after[k]).times
    ):
        name = _name(problem, after[k], broken.at)
        return replace(place, kind=broken.kind, breaks=f"{name} {broken.text}")
    return place


def _cost_s(problem: DayProblem, k: int, calls: RouteCalls) -> int:
    """Return what a route costs as it stands, whether it holds its hours or not."""
    return route_cost(problem, k, calls, drive_on(problem, k, calls).times.returns_s)


def _along(known: Clocks, k: int, calls: RouteCalls, call: Call) -> tuple[_There, ...]:
    """Return a route with a call at each of its places."""
    return known.kept(
        (_along, k, calls, call),
        lambda: tuple(_there(known, k, calls, call, number) for number in range(len(calls) + 1)),
    )


def _there(known: Clocks, k: int, calls: RouteCalls, call: Call, number: int) -> _There:
    problem, who = known.problem, known.problem.technicians[k]
    gaps = known.gaps(k, calls)
    option = gaps.option(number, (call,), number)
    legs, new = gaps.legs_with(option), option.calls
    holds = gaps.holds(option)
    late, back_s = (None, 0) if holds and not who.overtime_s else first_late(legs, who)
    cost_s = None
    if not option.is_cut_off:
        cost_s = route_cost(problem, k, new, back_s, driven_s(problem, k, legs))
    return _There(cost_s, *_breaks(problem, k, new, late, back_s))


def _breaks(
    problem: DayProblem,
    k: int,
    calls: RouteCalls,
    late: Late | None,
    back_s: int,
) -> tuple[BreachKind | None, str]:
    """Return the first thing that gives way on a route: kind and words."""
    who = problem.technicians[k]
    for found in broken_by_leave(problem, k, calls):
        return found.kind, f"{_name(problem, calls, found.at)} {found.text}"
    short = () if tanks_last(problem, k, calls) else tanks_along(problem, k, calls).broken
    for found in short:
        return found.kind, _at(problem, calls, found.at, found.text)
    if late is not None:
        words = hours_missed(problem, k, calls, late, back_s)
        return late.kind, _at(problem, calls, late.at, words)
    if who.most_drive_s is not None and drive_of(problem, k, calls)[0] > who.most_drive_s:
        return BreachKind.DRIVING, f"{who.name} would drive more than is allowed"
    return None, ""


def _at(problem: DayProblem, calls: RouteCalls, at: int, words: str) -> str:
    """Return words with the stop that they are about; on the way back they stand alone."""
    return words if at == len(calls) else f"{_name(problem, calls, at)}: {words}"


def _name(problem: DayProblem, calls: RouteCalls, at: int) -> str:
    call = calls[at]
    return (problem.fills if call.is_fill else problem.visits)[call.which].name
