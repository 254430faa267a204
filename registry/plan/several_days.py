"""Several days as one problem, and its answer as the answers of the days.

Each technician on each day is one technician of the problem, and its clock runs on: a moment is
the midnight of its day, counted from the first one's, plus the seconds of the day. Who may make a
visit and when is judged by the day's own problem, licences included. Where the work at a site grows
within these days, room is kept for the most.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from registry.plan.day_extras import SECOND_PERSON
from registry.plan.one_clock import (
    Occasions,
    OneDay,
    joined_hours,
    joined_tables,
    moved,
    moved_fill,
    moved_visit,
    one_clock,
)
from registry.plan.problem import (
    DAY_S,
    Appointed,
    Call,
    DayProblem,
    Link,
    RouteCalls,
    Solution,
)

type MadeOn = dict[str, list[int]]
"""On which days visits are made, by their id."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Several:
    """Days as one ``problem``; ``visits`` and ``fills`` say which visits and fills it has."""

    problem: DayProblem
    days: tuple[OneDay, ...]
    midnights_s: tuple[int, ...]
    visits: tuple[Occasions, ...]
    fills: tuple[Occasions, ...]

    def crew(self, day: int) -> range:
        """Return which technicians of the problem are those of a day."""
        first = sum(len(one.problem.technicians) for one in self.days[:day])
        return range(first, first + len(self.days[day].problem.technicians))

    def made_on(self, solution: Solution) -> MadeOn:
        """Return on which days a solution makes visits."""
        made: MadeOn = {}
        for day in range(len(self.days)):
            for k in self.crew(day):
                for call in solution.routes[k]:
                    if not call.is_fill:
                        made.setdefault(self.problem.visits[call.which].id, []).append(day)
        return made


def together(days: Sequence[OneDay]) -> Several:
    """Return days, in order, as one problem.

    A visit costs what waiting for its day costs; left for none of the days, what waiting through
    all of them costs and its worth on the last. So one day alone costs what it always costs, and
    on the last day a visit weighs as much as if that day were ordered alone.

    A held visit, an errand, a slot kept free and visits in a fixed order are for their date only.
    """
    clock = one_clock(days)
    tables, table_of = joined_tables(clock, days)
    visits, fills = _visits(days), _fills(days)
    return Several(
        problem=DayProblem(
            name=" ".join(one.on_date.isoformat() for one in days),
            travel_s=tables[0].travel_s,
            travel_m=tables[0].travel_m,
            technicians=tuple(
                moved(clock, day, who, table_of[day][who.table])
                for day, one in enumerate(days)
                for who in one.problem.technicians
            ),
            visits=tuple(moved_visit(clock, days, occasions) for occasions in visits),
            fills=tuple(moved_fill(clock, days, occasions) for occasions in fills),
            links=tuple(_links(days, visits)),
            more_tables=tables[1:],
            hours=joined_hours(clock, days, tables, table_of),
        ),
        days=tuple(days),
        midnights_s=clock.midnights_s,
        visits=tuple(visits),
        fills=tuple(fills),
    )


def without_made(problem: DayProblem, day: int, made: MadeOn) -> DayProblem:
    """Return a day's problem without the visits that are made on other days only."""

    def stays(visit: str) -> bool:
        days = made.get(visit.removesuffix(SECOND_PERSON))
        return days is None or day in days

    kept = [i for i, one in enumerate(problem.visits) if stays(one.id)]
    number_of = {i: number for number, i in enumerate(kept)}
    return replace(
        problem,
        visits=tuple(problem.visits[i] for i in kept),
        links=tuple(
            replace(link, first=number_of[link.first], then=number_of[link.then])
            for link in problem.links
            if link.first in number_of and link.then in number_of
        ),
        left_out=tuple(one for one in problem.left_out if stays(one.id)),
    )


def solution_of_day(several: Several, solution: Solution, day: int) -> tuple[DayProblem, Solution]:
    """Return a day's own problem, without the visits made on other days, and its solution."""
    own = several.days[day].problem
    alone = without_made(own, day, several.made_on(solution))
    number_of = {visit.id: i for i, visit in enumerate(alone.visits)}
    begins_s = several.midnights_s[day]

    def call_of(call: Call) -> Call:
        if call.is_fill:
            return Call(several.fills[call.which][day], is_fill=True)
        return Call(number_of[several.problem.visits[call.which].id])

    def calls_of(calls: RouteCalls) -> RouteCalls:
        return tuple(call_of(call) for call in calls)

    routes = [solution.routes[k] for k in several.crew(day)]
    here = {call for calls in routes for call in calls}
    return alone, replace(
        solution,
        routes=tuple(calls_of(calls) for calls in routes),
        appointed=tuple(
            Appointed(
                call_of(Call(visit)).which,
                max(0, opens_s - begins_s),
                min(DAY_S, closes_s - begins_s),
            )
            for visit, opens_s, closes_s in solution.appointed
            if Call(visit) in here
        ),
    )


def _visits(days: Sequence[OneDay]) -> list[Occasions]:
    """Return which visits of the days are the same, in the order in which they come up."""
    fixed = [_fixed(one.problem) for one in days]
    dated = {one.problem.visits[i].id for one, some in zip(days, fixed, strict=True) for i in some}
    found: dict[tuple[str, int], Occasions] = {}
    for day, one in enumerate(days):
        for i, visit in enumerate(one.problem.visits):
            if i in fixed[day]:
                found[visit.id, day] = {day: i}
            elif visit.id not in dated:
                occasions = found.setdefault((visit.id, -1), {day: i})
                first = next(iter(occasions))
                # A day on which one more person must come, or need not, asks for another visit.
                if visit.people == days[first].problem.visits[occasions[first]].people:
                    occasions[day] = i
    return list(found.values())


def _fixed(problem: DayProblem) -> set[int]:
    """Return the visits of a day that are for this date only."""
    ordered = [link for link in problem.links if not link.together]
    linked = {one for link in ordered for one in (link.first, link.then)}
    return linked | {i for i, visit in enumerate(problem.visits) if visit.required}


def _fills(days: Sequence[OneDay]) -> list[Occasions]:
    """Return which fill points of the days are the same: those that are always open."""
    open_on = [{fill.id for fill in one.problem.fills if fill.window is None} for one in days]
    always = set.intersection(*open_on)
    found: dict[tuple[str, int], Occasions] = {}
    for day, one in enumerate(days):
        for i, fill in enumerate(one.problem.fills):
            found.setdefault((fill.id, -1 if fill.id in always else day), {})[day] = i
    return list(found.values())


def _links(days: Sequence[OneDay], visits: Sequence[Occasions]) -> Iterable[Link]:
    """Return the links of all days, each once."""
    number_of = {(day, i): j for j, occasions in enumerate(visits) for day, i in occasions.items()}
    return dict.fromkeys(
        replace(link, first=number_of[day, link.first], then=number_of[day, link.then])
        for day, one in enumerate(days)
        for link in one.problem.links
        if (day, link.first) in number_of and (day, link.then) in number_of
    )
