"""For one visit on a route: why it is there, how much it may slip, what it would cost elsewhere."""

from dataclasses import dataclass, replace

from registry.plan.clock import CallTimes, route_times
from registry.plan.fills import without_needless_fills
from registry.plan.prices import waiting_words
from registry.plan.problem import Call, DayProblem, RouteCalls, Window
from registry.plan.room_made import cost_or_drive, room_made
from registry.plan.say import clock, listed, minutes, more_or_less
from registry.plan.shortfall import short_s
from registry.plan.ways import best_way
from registry.plan.why_able import lack
from registry.plan.why_short import missing


@dataclass(frozen=True, slots=True, kw_only=True)
class Elsewhere:
    """What a visit would come to on another route; ``price_s`` None = it does not fit. [s]."""

    technician: int
    price_s: int | None
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class There:
    """Why a visit is where it is.

    ``slack_s``: its work may start so much later with the whole route still holding. ``saves_s``:
    what its own route would cost less without it.
    """

    technician: int
    starts_s: int
    window: Window | None
    slack_s: int
    saves_s: int
    elsewhere: tuple[Elsewhere, ...]
    said: str


def why_there(problem: DayProblem, routes: tuple[RouteCalls, ...], visit: int) -> There:
    """Return why a visit is on its route.

    Raises
    ------
    PlanError
        If the route does not keep its hours.
    """
    technician = next(k for k, calls in enumerate(routes) if Call(visit) in calls)
    calls = routes[technician]
    at = calls.index(Call(visit))
    times = route_times(problem, technician, calls).calls[at]
    without = without_needless_fills(problem, technician, (*calls[:at], *calls[at + 1 :]))
    saves_s = cost_or_drive(problem, technician, calls) - cost_or_drive(
        problem, technician, without
    )
    slack_s = latest_start_s(problem, technician, calls, visit) - times.starts_s
    elsewhere = sorted(
        (
            _elsewhere(problem, k, calls, visit, saves_s)
            for k, calls in enumerate(routes)
            if k != technician
        ),
        key=lambda one: (one.price_s is None, one.price_s or 0),
    )
    return There(
        technician=technician,
        starts_s=times.starts_s,
        window=times.window,
        slack_s=slack_s,
        saves_s=saves_s,
        elsewhere=tuple(elsewhere),
        said=_said(problem, technician, visit, times, slack_s, saves_s),
    )


def latest_start_s(problem: DayProblem, technician: int, calls: RouteCalls, visit: int) -> int:
    """Return the latest moment at which a visit may start with its whole route still holding.

    Starting later is never better for what follows, so it is found by halving. [s after midnight]

    Raises
    ------
    PlanError
        If the route does not keep its hours.
    """
    at = calls.index(Call(visit))
    low = route_times(problem, technician, calls).calls[at].starts_s
    high = problem.visits[visit].windows[-1][1]
    while low < high:
        middle = (low + high + 1) // 2
        if short_s(_not_before(problem, visit, middle), technician, calls) == 0:
            low = middle
        else:
            high = middle - 1
    return low


def _not_before(problem: DayProblem, visit: int, moment_s: int) -> DayProblem:
    """Return a problem in which a visit starts at a moment or later."""
    what = problem.visits[visit]
    windows = tuple((max(a, moment_s), b) for a, b in what.windows if b >= moment_s)
    visits = list(problem.visits)
    visits[visit] = replace(what, windows=windows)
    return replace(problem, visits=tuple(visits))


def _elsewhere(
    problem: DayProblem, k: int, calls: RouteCalls, visit: int, saves_s: int
) -> Elsewhere:
    """Return what a visit would come to on another route."""
    name = problem.technicians[k].name
    if (lacking := lack(problem, k, visit)) is not None:
        return Elsewhere(technician=k, price_s=None, said=f"{name} {lacking[1]}.")
    way = best_way(problem, k, calls, visit)
    if not way.fits:
        text = f"{name}’s route has no room: {missing(problem, way)[1]}."
        if (making := room_made(problem, k, calls, visit)) is not None:
            out = listed([problem.visits[one].name for one in making.out])
            text += f" {out} would have to fall out."
        return Elsewhere(technician=k, price_s=None, said=text)
    added_s = cost_or_drive(problem, k, way.calls) - cost_or_drive(problem, k, calls)
    price_s = added_s - saves_s
    text = f"On {name}’s route the day would cost {more_or_less(price_s)}."
    return Elsewhere(technician=k, price_s=price_s, said=text)


def _said(
    problem: DayProblem,
    technician: int,
    visit: int,
    times: CallTimes,
    slack_s: int,
    saves_s: int,
) -> str:
    """Say why a visit is there."""
    who, what = problem.technicians[technician], problem.visits[visit]
    able = [k for k in range(len(problem.technicians)) if problem.may_make(k, visit)]
    text = f"{who.name} starts there at {clock(times.starts_s)}."
    if what.held_by is not None:
        text += f" It is held to {who.name}."
    elif len(able) == 1:
        text += " Nobody else on duty may make it."
    if times.window is not None and times.window[1] - times.window[0] < 24 * 3600:
        to_close = times.window[1] - times.starts_s
        text += (
            f" Work may start {clock(times.window[0])}–{clock(times.window[1])}, so"
            f" {minutes(to_close)} are left to the end of that."
        )
    if slack_s < 60:
        text += " It may start no later, or the route no longer holds."
    else:
        text += f" It may start up to {minutes(slack_s)} later with the route still holding."
    worth = "it must be made" if what.required else waiting_words(what)
    return f"{text} The stop costs its route {minutes(max(0, saves_s))} of driving; {worth}."
