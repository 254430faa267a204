"""Our engine beside others on the same instances, each run in a fresh process of its own."""

import json
import math
import re
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from importlib.util import find_spec
from multiprocessing import get_context
from pathlib import Path
from statistics import median

from registry.errors import PlanError, RegistryError
from registry.plan.check import breaches, totals_of
from registry.plan.ports import RouteSolver
from registry.solvers.budget import processor_clock
from registry.solvers.instances import read_instance

KIB = 1024
PYVRP_MISSING = "PyVRP is not installed and is left out: pip install 'riserway[compare]'."


@dataclass(frozen=True, slots=True)
class Entrant:
    """One column: an engine, and how many processes of it run at once with seeds of their own."""

    name: str
    title: str
    processes: int = 1


ENTRANTS = (
    Entrant("riserway", "Riserway"),
    Entrant("riserway-two", "Riserway, two processes", 2),
    Entrant("guided", "OR-Tools guided local search"),
    Entrant("iterated", "OR-Tools iterated local search, annealing"),
    Entrant("pyvrp", "PyVRP"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Attempt:
    """What an engine found on an instance; ``cost`` None = nothing that holds, ``why`` says why."""

    cost: float | None
    seconds: float
    peak_mb: float
    why: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An attempt in the table; ``gap`` is (cost − mark) / mark in percent."""

    instance: str
    engine: str
    seconds: float
    attempt: Attempt
    gap: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Median and worst gap of an engine over the instances, in percent; None if it never held."""

    engine: str
    seconds: float
    median: float | None
    worst: float | None


def chosen(names: Sequence[str]) -> tuple[list[Entrant], list[str]]:
    """Return the entrants of these names (all if none is given) and a word about those left out.

    Raises
    ------
    PlanError
        If there is no engine of a name.
    """
    known = {one.name for one in ENTRANTS}
    if unknown := [name for name in names if name not in known]:
        raise PlanError(
            f"There is no engine named {unknown[0]}; there are {', '.join(sorted(known))}."
        )
    wanted = [one for one in ENTRANTS if not names or one.name in names]
    if find_spec("pyvrp") or not any(one.name == "pyvrp" for one in wanted):
        return wanted, []
    return [one for one in wanted if one.name != "pyvrp"], [PYVRP_MISSING]


def engine_named(name: str) -> RouteSolver:
    """Return a solver that counts the processor's seconds."""
    from registry.solvers.combined import CombinedSolver
    from registry.solvers.with_ortools import Method, OrToolsSolver
    from registry.solvers.with_pyvrp import PyVRPSolver

    engines: dict[str, Callable[[], RouteSolver]] = {
        "guided": lambda: OrToolsSolver(method=Method.GUIDED, clock=processor_clock),
        "iterated": lambda: OrToolsSolver(method=Method.ITERATED, clock=processor_clock),
        "pyvrp": lambda: PyVRPSolver(clock=processor_clock),
    }
    return engines.get(name, lambda: CombinedSolver(clock=processor_clock))()


def attempt(path: Path, name: str, seconds: float, seed: int) -> Attempt:
    """Let an engine search in this process, and judge its plan by the independent check."""
    instance = read_instance(path)
    try:
        solution = engine_named(name).solve(instance.problem, seconds=seconds, seed=seed)
    except RegistryError as wrong:
        return Attempt(cost=None, seconds=seconds, peak_mb=peak_mb(), why=str(wrong))
    found = breaches(instance.problem, solution.routes)
    cost = totals_of(instance.problem, solution.routes).cost / instance.per_unit
    return Attempt(
        cost=None if found else cost,
        seconds=round(solution.seconds, 2),
        peak_mb=peak_mb(),
        why=found[0].text if found else "",
    )


def peak_mb() -> float:
    """Return the most memory that this process has used, nan where the system does not tell."""
    try:
        import resource
    except ImportError:  # Windows
        return math.nan
    return round(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / KIB)


def in_fresh_processes(path: Path, entrant: Entrant, seconds: float, seed: int) -> Attempt:
    """Let an engine search in processes that do nothing else, and return the best attempt."""
    fresh = get_context("spawn")
    with ProcessPoolExecutor(entrant.processes, fresh, max_tasks_per_child=1) as pool:
        runs = [
            pool.submit(attempt, path, entrant.name, seconds, seed + number)
            for number in range(entrant.processes)
        ]
        try:
            made = [run.result() for run in runs]
        except BrokenProcessPool:
            why = "its process ended early (memory?)"
            return Attempt(cost=None, seconds=seconds, peak_mb=math.nan, why=why)
    return min(made, key=lambda one: math.inf if one.cost is None else one.cost)


def compete(
    paths: Sequence[Path],
    entrants: Sequence[Entrant],
    seconds: Sequence[float],
    seed: int,
    tell: Callable[[Entry], None],
) -> list[Entry]:
    """Let every engine search on every instance for so long, one after the other.

    Gaps are to the best known cost where a file beside the instance tells it, else to the best
    that was found here.
    """
    entries: list[Entry] = []
    for path in paths:
        here: list[Entry] = []
        for limit_s in seconds:
            for entrant in entrants:
                made = in_fresh_processes(path, entrant, limit_s, seed)
                entry = Entry(
                    instance=path.stem, engine=entrant.name, seconds=limit_s, attempt=made
                )
                tell(entry)
                here.append(entry)
        entries += with_gaps(here, best_known(path))
    return entries


def with_gaps(entries: Sequence[Entry], known: float | None) -> Iterator[Entry]:
    """Yield the entries of one instance with their gaps."""
    costs = [one.attempt.cost for one in entries if one.attempt.cost is not None]
    mark = known if known is not None else min(costs, default=None)
    for one in entries:
        cost = one.attempt.cost
        gap = None if cost is None or not mark else round(100 * (cost / mark - 1), 3)
        yield Entry(
            instance=one.instance,
            engine=one.engine,
            seconds=one.seconds,
            attempt=one.attempt,
            gap=gap,
        )


def standings(entries: Sequence[Entry]) -> list[Standing]:
    """Return median and worst gap per engine and seconds, in the order of the entries."""
    gaps: dict[tuple[str, float], list[float]] = {}
    for one in entries:
        some = gaps.setdefault((one.engine, one.seconds), [])
        if one.gap is not None:
            some.append(one.gap)
    return [
        Standing(
            engine=engine,
            seconds=limit_s,
            median=round(median(some), 3) if some else None,
            worst=max(some, default=None),
        )
        for (engine, limit_s), some in gaps.items()
    ]


def best_known(path: Path) -> float | None:
    """Return the best known cost of an instance from ``bks.json`` or its ``.sol`` beside it."""
    table = path.with_name("bks.json")
    try:
        if table.is_file():
            row = json.loads(table.read_text(encoding="utf-8")).get(path.stem)
            if row is not None:
                return float(row["bks"] if isinstance(row, dict) else row)
        solution = path.with_suffix(".sol")
        if solution.is_file():
            told = re.search(r"(?im)^cost\s*:?\s*([\d.]+)", solution.read_text(encoding="utf-8"))
            return float(told[1]) if told else None
    except (OSError, ValueError, KeyError, AttributeError, TypeError):
        return None
    return None
