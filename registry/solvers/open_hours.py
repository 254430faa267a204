"""A day as if its roads were open, for a search that knows one travel table at any hour."""

from dataclasses import replace

from registry.plan.problem import ANYWHERE, UNREACHABLE_S, DayProblem, DayVisit, Window
from registry.plan.road_hours import as_if_open


def in_open_hours(problem: DayProblem) -> DayProblem:
    """Return a day as if roads were open, with what lies beyond them in the hours of these roads.

    A visit that no road leads to at every hour may start only when one can have come there, and so
    early that one gets away again. That is a guide for the search and no limit of the day.
    """
    opened = as_if_open(problem)
    return replace(opened, visits=tuple(_within_reach(problem, one) for one in problem.visits))


def _within_reach(problem: DayProblem, visit: DayVisit) -> DayVisit:
    """Return a visit with the windows in which somebody can reach and leave it."""
    if visit.place == ANYWHERE or problem.hours is None:
        return visit
    spans: set[Window] = set()
    for k, who in enumerate(problem.technicians):
        own = problem.travel_of(k).travel_s
        there, back = (who.start_place, visit.place), (visit.place, who.end_place)
        if max(own[there], own[back]) < UNREACHABLE_S:
            return visit
        for period in problem.hours.periods:
            table = period.tables[who.table].travel_s
            if max(table[there], table[back]) < UNREACHABLE_S:
                first_s = period.from_s + int(table[there])
                spans.add((first_s, period.to_s - visit.service_s - int(table[back])))
    windows = tuple(
        (max(opens, first_s), min(closes, last_s))
        for opens, closes in visit.windows
        for first_s, last_s in _joined(spans)
        if max(opens, first_s) <= min(closes, last_s)
    )
    return replace(visit, windows=windows or visit.windows)


def _joined(spans: set[Window]) -> list[Window]:
    joined: list[Window] = []
    for first_s, last_s in sorted(spans):
        if last_s < first_s:
            continue
        if joined and first_s <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], last_s))
        else:
            joined.append((first_s, last_s))
    return joined
