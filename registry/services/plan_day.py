"""Ordering one date's visits: what is due, over which roads, by whom, checked and kept."""

from dataclasses import dataclass, replace
from datetime import date, datetime

from registry.plan.bound import BoundFinder
from registry.plan.ports import ProgressLine, RoadEngine, RouteSolver, Stop
from registry.plan.problem import DayProblem, Solution
from registry.plan.say import clock
from registry.records.closures import Closure
from registry.records.day import Day
from registry.services.day_at_hand import at_hand_of
from registry.services.day_input import DayInput, day_input
from registry.services.forecast_roads import WaterAsked
from registry.services.order_rest import Begun, begun_day, order_rest
from registry.services.pose_day import pose, tell
from registry.services.prove_day import prove, with_bound
from registry.store import Store, days
from registry.store.day_versions import version_in_force
from registry.units import S_PER_MIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Search:
    """How long a solver searches: seconds, or rounds, with which the same seed gives one plan.

    ``bound_s`` is the time after it to prove how far the plan is from the best possible, 0 = none.
    Once ``stop`` says true the best plan so far counts, and nothing more is proven.
    """

    seconds: float | None = None
    rounds: int | None = None
    seed: int = 1
    bound_s: float = 0.0
    stop: Stop | None = None

    @property
    def stopped(self) -> bool:
        """Whether somebody asked the search to end."""
        return self.stop is not None and self.stop()


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOrder:
    """Which date is to be ordered, for whom, with what effort; ``horizon_days`` None = by rule.

    ``closures`` are closed for this plan, beside those that the firm keeps. ``water`` is what it
    reckons with; None = the forecast, where the firm heeds it.
    """

    firm_id: int
    on_date: date
    search: Search
    made_by: str
    now: datetime
    horizon_days: int | None = None
    closures: tuple[Closure, ...] = ()
    water: WaterAsked | None = None


def plan_day(
    store: Store,
    roads: RoadEngine,
    solver: RouteSolver,
    wanted: DayOrder,
    progress: ProgressLine | None = None,
    bounds: BoundFinder | None = None,
) -> Day:
    """Choose and order the visits of a date for all technicians; kept only once checked.

    Of a day that has begun, what is done stays on its lines and the rest is ordered from there.
    The store is read before the search and written after it, so that nobody waits meanwhile.

    Raises
    ------
    ConflictError
        If the plan in force was changed while the search went on.
    PlanError
        If there is no place to start from, or a plan breaks a limit.
    RoadError
        If the roads cannot be used.
    """
    with store.reading() as session:
        known = day_input(
            session, wanted.firm_id, wanted.on_date, wanted.horizon_days, wanted.water
        )
        in_force = version_in_force(session, wanted.firm_id, wanted.on_date)
        begun = begun_day(session, wanted.firm_id, wanted.on_date, wanted.now)
    closed = (*known.conditions.closures, *wanted.closures)
    known = replace(known, conditions=replace(known.conditions, closures=closed))
    if begun is None:
        day = order(known, roads, solver, wanted.search, progress, bounds)
    else:
        day = _rest(begun, known, roads, solver, wanted.search, progress)
    with store.session() as session:
        return days.save_day(
            session, day, made_by=wanted.made_by, now=wanted.now, made_from=in_force
        )


def _rest(
    begun: Begun,
    known: DayInput,
    roads: RoadEngine,
    solver: RouteSolver,
    search: Search,
    progress: ProgressLine | None,
) -> Day:
    """Return a day that has begun with its open part ordered anew."""
    day = order_rest(
        at_hand_of(begun.day, known, roads),
        begun.notes,
        begun.at_min,
        lambda open_: _solved(open_.problem, solver, search, progress),
        seed=search.seed,
    )
    told = (
        f"The day has begun: what was done by {clock(begun.at_min * S_PER_MIN)} stays as it was. "
        "How far the rest is from the best possible is not looked for."
    )
    return replace(day, notes=(*day.notes, told))


def _solved(
    problem: DayProblem, solver: RouteSolver, search: Search, progress: ProgressLine | None
) -> Solution:
    """Return what a solver finds with the effort of a search."""
    return solver.solve(
        problem,
        seconds=search.seconds,
        rounds=search.rounds,
        seed=search.seed,
        progress=progress,
        stop=search.stop,
    )


def order(
    known: DayInput,
    roads: RoadEngine,
    solver: RouteSolver,
    search: Search,
    progress: ProgressLine | None = None,
    bounds: BoundFinder | None = None,
) -> Day:
    """Return the routes of a date, recomputed by the independent check before they are told."""
    posed = pose(known, roads)
    solution = _solved(posed.problem, solver, search, progress)
    if bounds is None or search.bound_s <= 0 or search.stopped:
        return tell(posed, solution, search.seed)
    solution, found = prove(posed, solution, bounds, search.bound_s, progress)
    return with_bound(tell(posed, solution, search.seed), found)
