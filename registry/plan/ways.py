"""The ways to put one more visit on a route: one that fits, else the one that is least short."""

from collections.abc import Iterator
from dataclasses import dataclass

from registry.plan.driving import drive_of, driven_s
from registry.plan.gaps import Clocks, Option
from registry.plan.problem import Call, DayProblem, RouteCalls
from registry.plan.shortfall import NEVER_S, least_short_s, short_with_s
from registry.plan.tanks import empty_at, tanks_last


@dataclass(frozen=True, slots=True, kw_only=True)
class Way:
    """A way to have a visit on a route: the calls then, the driving added, the minutes missing."""

    technician: int
    calls: RouteCalls
    added_s: int
    short_s: int

    @property
    def fits(self) -> bool:
        """Whether the route holds then."""
        return self.short_s == 0


def best_way(
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    visit: int,
    known: Clocks | None = None,
) -> Way:
    """Return the best way to put one more visit on a route: one that fits, else the least short.

    A fill or disposal stop is added where a tank would not last otherwise. ``known`` is what was
    found out about the day before.
    """
    known = known or Clocks(problem)
    found = cheapest_fit(problem, technician, calls, visit, known)
    if found is not None:
        return found
    gaps, who = known.gaps(technician, calls), problem.technicians[technician]
    least = sorted(
        (least_short_s(who, option) if lasts else NEVER_S, number, option)
        for number, (option, lasts) in enumerate(_with_one_more(known, technician, calls, visit))
    )
    best_s, alike = NEVER_S, list[tuple[int, Option]]()
    for least_s, number, option in least:
        if least_s > best_s:
            break
        missing_s = short_with_s(known, technician, gaps, option, best_s)
        if missing_s < best_s:
            best_s, alike = missing_s, []
        if missing_s == best_s:
            alike.append((number, option))
    before_s = known.told(drive_of, technician, calls)[0]
    added_s, _, calls = min(
        (driven_s(problem, technician, gaps.legs_with(option)) - before_s, number, option.calls)
        for number, option in alike
    )
    return Way(technician=technician, calls=calls, added_s=added_s, short_s=best_s)


def cheapest_fit(
    problem: DayProblem,
    technician: int,
    calls: RouteCalls,
    visit: int,
    known: Clocks | None = None,
) -> Way | None:
    """Return the way with the least driving to put one more visit on a route that fits then."""
    known = known or Clocks(problem)
    gaps, who = known.gaps(technician, calls), problem.technicians[technician]
    before_s = known.told(drive_of, technician, calls)[0]
    best: tuple[int, int, RouteCalls] | None = None
    fitting = sorted(
        (option.least_s - before_s, number, option)
        for number, (option, lasts) in enumerate(_with_one_more(known, technician, calls, visit))
        if lasts and not least_short_s(who, option)
    )
    for least_s, number, option in fitting:
        if best is not None and (least_s, number) > best[:2]:
            break
        if not gaps.holds(option) or not tanks_last(problem, technician, option.calls):
            continue
        drive_s = driven_s(problem, technician, gaps.legs_with(option))
        if who.most_drive_s is not None and drive_s > who.most_drive_s:
            continue
        one = drive_s - before_s, number, option.calls
        best = one if best is None else min(best, one)
    if best is None:
        return None
    return Way(technician=technician, calls=best[2], added_s=best[0], short_s=0)


def _with_one_more(
    known: Clocks, technician: int, calls: RouteCalls, visit: int
) -> Iterator[tuple[Option, bool]]:
    """Yield a route with a visit in each gap, and whether its tanks may last then.

    Where a tank would not last, a stop at each fill or disposal that helps is tried everywhere.
    """
    problem, gaps = known.problem, known.gaps(technician, calls)
    added = Call(visit)
    for gap in range(len(calls) + 1):
        lacking = empty_at(problem, technician, (*calls[:gap], added, *calls[gap:]))
        helping = [
            Call(number, is_fill=True)
            for number, fill in enumerate(problem.fills)
            if lacking is not None and fill.empties == lacking[1]
        ]
        if lacking is None or not helping:
            yield gaps.option(gap, (added,), gap), lacking is None
        for fill in helping:
            for at in range(gap + 1):
                yield gaps.option(at, (fill, *calls[at:gap], added), gap), True
            for at in range(gap, len(calls)):
                yield gaps.option(gap, (added, *calls[gap:at], fill), at), True
