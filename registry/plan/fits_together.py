"""Whether some visits fit on one route at all, exactly, whatever their order.

A dynamic program over sets of visits, with lunch to come and lunch behind as two clocks; earlier is
never worse, so one moment is kept for each set, last visit and clock. Tanks and the driving limit
are left out: what does not fit here fits with them even less.
"""

from registry.plan.clock import Leg
from registry.plan.problem import ANYWHERE, DayProblem, Window
from registry.plan.road_hours import ways_of

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
    leg = _leg(problem, k, here, visit)
    if leg.is_cut_off:
        return []
    ends = [(fed, leg.over_s(leg.reached_s(now_s)))]
    lunch = problem.technicians[k].lunch
    if lunch is not None and not fed:
        ends.append((True, leg.over_s(leg.reached_fed_s(now_s, lunch))))
    return [(is_fed, over_s) for is_fed, over_s in ends if over_s is not None]


def _gets_home(problem: DayProblem, k: int, here: int | None, now_s: int, fed: bool) -> bool:
    """Tell whether the end place is reached in time, with lunch on the way if it is still due."""
    who = problem.technicians[k]
    if here is None:
        return True
    latest_s = who.shift_to_s + who.overtime_s
    leg = _leg(problem, k, here, None)
    if leg.is_cut_off:
        return False
    home_s = leg.reached_s(now_s)
    if fed or who.lunch is None or (home_s is not None and home_s <= who.lunch.to_s):
        return home_s is not None and home_s <= latest_s
    fed_home_s = leg.reached_fed_s(now_s, who.lunch)
    return fed_home_s is not None and fed_home_s <= latest_s


def _leg(problem: DayProblem, k: int, here: int | None, there: int | None) -> Leg:
    """Return the leg between two visits; None = where the route starts or ends.

    A visit that can be made anywhere is taken to lie on the way.
    """
    who = problem.technicians[k]
    windows: tuple[Window, ...] = ()
    start, end, service_s = who.start_place, who.end_place, 0
    if here is not None:
        start = problem.visits[here].place
    if there is not None:
        what = problem.visits[there]
        end, windows, service_s = what.place, what.windows, what.service_s
    if ANYWHERE in (start, end):
        return Leg(0, windows, service_s)
    drive_s = int(problem.travel_of(k).travel_s[start, end])
    return Leg(drive_s, windows, service_s, ways=ways_of(problem, who.table, start, end))
