"""Ordering the next working days together: which day, who, in which order; each day kept."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from itertools import islice

from registry.errors import PlanError
from registry.plan.from_records import is_on_duty
from registry.plan.one_clock import OneDay
from registry.plan.ports import ProgressLine, RoadEngine, RouteSolver
from registry.plan.problem import LeftOut, Solution
from registry.plan.several_days import (
    MadeOn,
    Several,
    solution_of_day,
    together,
    without_made,
)
from registry.plan.stops import waiting_of
from registry.plan.words import WhyWord
from registry.records.crew import Technician
from registry.records.day import Day
from registry.report.day_text import long_date
from registry.services.day_input import DayInput, day_input
from registry.services.order_rest import begun_day
from registry.services.plan_day import DayOrder, Search
from registry.services.pose_day import Posed, pose, tell
from registry.store import Session, Store, crew, days
from registry.store.day_versions import version_in_force

FARTHEST_DAYS = 366
"""A working day is looked for so many days ahead."""
NO_BOUND = "; how far that is from the best possible is not looked for."
LATER = -1
"""Stands for a day beyond those that are ordered."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeveralPosed:
    """Working days as one problem; ``promised`` are dates beyond them, by the visit's id."""

    posed: tuple[Posed, ...]
    several: Several
    promised: dict[str, date]


def plan_days(
    store: Store,
    roads: RoadEngine,
    solver: RouteSolver,
    wanted: DayOrder,
    count: int,
    progress: ProgressLine | None = None,
) -> list[Day]:
    """Order some working days from a date on together, and keep each of them once checked.

    The search has as many times the effort of one day as there are days. All are kept, or none.

    Raises
    ------
    ConflictError
        If a plan in force was changed while the search went on.
    PlanError
        If nobody works, there is no place to start from, a day has begun, or a plan breaks a
        limit.
    RoadError
        If the roads cannot be used.
    """
    with store.reading() as session:
        known, promised = days_input(session, wanted, count)
        for one in known:
            if begun_day(session, one.firm_id, one.on_date, wanted.now) is not None:
                raise PlanError(
                    f"{long_date(one.on_date)} has begun, and what is done stays where it was "
                    "made. Order that day alone, and together the days after it."
                )
        in_force = [version_in_force(session, one.firm_id, one.on_date) for one in known]
    asked = pose_days(known, promised, roads)
    solution = solve(solver, asked.several, wanted.search, progress)
    planned = tell_days(asked, solution, wanted.search.seed)
    with store.session() as session:
        return [
            days.save_day(session, day, made_by=wanted.made_by, now=wanted.now, made_from=number)
            for day, number in zip(planned, in_force, strict=True)
        ]


def days_input(
    session: Session, wanted: DayOrder, count: int
) -> tuple[list[DayInput], dict[str, date]]:
    """Return what working days are planned from, and what is promised for dates after them."""
    people = crew.technicians(session, wanted.firm_id)
    dates = list(islice(working_days(people, wanted.on_date), count))
    if len(dates) < count:
        raise PlanError(
            f"Nobody works on {count} days from {wanted.on_date.isoformat()} on: check the workdays"
            " and days off of the crew."
        )
    known = []
    for on_date in dates:
        one = day_input(session, wanted.firm_id, on_date, wanted.horizon_days, wanted.water)
        closed = (*one.conditions.closures, *wanted.closures)
        known.append(replace(one, conditions=replace(one.conditions, closures=closed)))
    later = days.holds_after(session, wanted.firm_id, dates[-1])
    return known, {str(one.site_id): one.on_date for one in reversed(later)}


def working_days(people: Sequence[Technician], first: date) -> Iterator[date]:
    """Yield the dates from the first one on at which somebody is on duty."""
    for ahead in range(FARTHEST_DAYS):
        on_date = first + timedelta(days=ahead)
        if any(is_on_duty(who, on_date) for who in people):
            yield on_date


def pose_days(
    known: Sequence[DayInput], promised: dict[str, date], roads: RoadEngine
) -> SeveralPosed:
    """Return working days as one problem; what is promised for later is left for its date."""
    posed = tuple(pose(one, roads) for one in known)
    alone = [_one_day(day, one, promised) for day, one in enumerate(posed)]
    return SeveralPosed(posed=posed, several=together(alone), promised=promised)


def _one_day(day: int, posed: Posed, promised: dict[str, date]) -> OneDay:
    """Return a day without what is promised for later."""
    due = posed.records.visits
    later = {one: [LATER] for one in promised if one in due and due[one].hold is None}
    return OneDay(
        on_date=posed.known.on_date,
        problem=without_made(posed.problem, day, later),
        places=posed.records.places,
        due=due,
    )


def solve(
    solver: RouteSolver, several: Several, search: Search, progress: ProgressLine | None = None
) -> Solution:
    """Return the days' solution, searched for as long as all of them one by one."""
    count = len(several.days)
    return solver.solve(
        several.problem,
        seconds=None if search.seconds is None else search.seconds * count,
        rounds=None if search.rounds is None else search.rounds * count,
        seed=search.seed,
        progress=progress,
        stop=search.stop,
    )


def tell_days(asked: SeveralPosed, solution: Solution, seed: int) -> list[Day]:
    """Return each day, checked; what is made on another day waits and says when.

    Raises
    ------
    PlanError
        If the plan breaks a limit.
    """
    made = asked.several.made_on(solution)
    return [_told(asked, solution, made, day, seed) for day in range(len(asked.posed))]


def _told(asked: SeveralPosed, solution: Solution, made: MadeOn, day: int, seed: int) -> Day:
    """Return one of the days."""
    posed = asked.posed[day]
    problem, own = solution_of_day(asked.several, solution, day)
    elsewhere = _elsewhere(asked, made, day)
    known = replace(
        posed.known,
        visits=tuple(one for one in posed.known.visits if str(one.site_id) not in elsewhere),
    )
    told = tell(replace(posed, known=known, problem=problem), own, seed)
    others = [one.known.on_date for one in asked.posed if one is not posed]
    also = ", ".join(one.isoformat() for one in others)
    later = (
        waiting_of(problem, LeftOut(id=visit, why_word=WhyWord.ANOTHER_DAY, why=why), posed.records)
        for visit, why in elsewhere.items()
        if why
    )
    return replace(
        told,
        waiting=(*told.waiting, *(one for one in later if one is not None)),
        notes=(*told.notes, *([f"Ordered together with {also}{NO_BOUND}"] if also else [])),
    )


def _elsewhere(asked: SeveralPosed, made: MadeOn, day: int) -> dict[str, str]:
    """Return which visits are not for a day, and for which they are; "" = made before it."""
    found: dict[str, str] = {}
    for visit, due in asked.posed[day].records.visits.items():
        if visit in made:
            if day not in made[visit]:
                last = max(made[visit])
                on_date = asked.posed[last].known.on_date
                found[visit] = f"Planned for {long_date(on_date)}." if last > day else ""
        elif visit in asked.promised and due.hold is None:
            found[visit] = f"Promised for {long_date(asked.promised[visit])}."
    return found
