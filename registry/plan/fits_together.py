"""Whether some visits fit on one route at all, exactly, whatever their order.

A dynamic program over sets of visits, with lunch to come and lunch behind as two clocks; earlier is
never worse, so one moment is kept for each set, last visit and clock. Tanks and the driving limit
are left out: what does not fit here fits with them even less.
"""

from registry.plan.problem import ANYWHERE, UNREACHABLE_S, DayProblem, Lunch, Window

MOST_VISITS = 10
"""More visits than that are not looked at."""

type State = tuple[int, int, bool]
"""Visits made as bits, the last one, whether lunch is behind."""


def fit_together(problem: DayProblem, technician: int, visits: tuple[int, ...]) -> bool:
    """Tell whether one technician could make all of some visits in their hours.

    Raises
    ------
    ValueError
        If there are more than ``MOST_VISITS``.
    """
    if len(visits) > MOST_VISITS:
        raise ValueError("too many visits to look at every order")
    if not all(problem.may_make(technician, visit) for visit in visits):
        return False
    states: dict[State, int] = {(0, -1, False): problem.technicians[technician].shift_from_s}
    for _ in visits:
        following: dict[State, int] = {}
        for (made, last, fed), now_s in states.items():
            for at, visit in enumerate(visits):
                if not made >> at & 1:
                    here = visits[last] if last >= 0 else None
                    for is_fed, over_s in _on(problem, technician, here, visit, now_s, fed):
                        state = (made | 1 << at, at, is_fed)
                        following[state] = min(over_s, following.get(state, over_s))
        states = following
    return any(
        _gets_home(problem, technician, visits[last] if last >= 0 else None, now_s, fed)
        for (_, last, fed), now_s in states.items()
    )


def _on(
    problem: DayProblem, k: int, here: int | None, visit: int, now_s: int, fed: bool
) -> list[tuple[bool, int]]:
    """Return when a visit after another can be over, with lunch as it was and with lunch before."""
    what = problem.visits[visit]
    drive_s = _drive_s(problem, k, here, visit)
    if drive_s >= UNREACHABLE_S:
        return []
    arrivals = [(fed, now_s + drive_s)]
    lunch = problem.technicians[k].lunch
    if lunch is not None and not fed and now_s <= lunch.to_s:
        arrivals.append((True, _after_lunch(lunch, now_s + drive_s)))
    starts = [(is_fed, _start(what.windows, arrives_s)) for is_fed, arrives_s in arrivals]
    return [(is_fed, start + what.service_s) for is_fed, start in starts if start is not None]


def _gets_home(problem: DayProblem, k: int, here: int | None, now_s: int, fed: bool) -> bool:
    """Tell whether the end place is reached in time, with lunch on the way if it is still due."""
    who = problem.technicians[k]
    if here is None:
        return True
    latest_s = who.shift_to_s + who.overtime_s
    home_s = now_s + _drive_s(problem, k, here, None)
    if fed or who.lunch is None or home_s <= who.lunch.to_s:
        return home_s <= latest_s
    return now_s <= who.lunch.to_s and _after_lunch(who.lunch, home_s) <= latest_s


def _drive_s(problem: DayProblem, k: int, here: int | None, there: int | None) -> int:
    """Return the drive between two visits; None = where the route starts or ends.

    A visit that can be made anywhere is taken to lie on the way.
    """
    who = problem.technicians[k]
    start = who.start_place if here is None else problem.visits[here].place
    end = who.end_place if there is None else problem.visits[there].place
    if ANYWHERE in (start, end):
        return 0
    return int(problem.travel_of(k).travel_s[start, end])


def _after_lunch(lunch: Lunch, arrives_s: int) -> int:
    return max(arrives_s, lunch.from_s) + lunch.duration_s


def _start(windows: tuple[Window, ...], arrives_s: int) -> int | None:
    """Return when work can start, None if every window has closed."""
    return next((max(arrives_s, opens) for opens, closes in windows if arrives_s <= closes), None)
