"""Minutes and water of a visit, each part with where it comes from."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from registry.due.equipment import Equipment
from registry.due.purge_need import PurgeNeed, purge_need
from registry.records.systems import ComponentKind
from registry.records.visits import Traced
from registry.records.work import TaskKind

ARRIVAL = "arrival"
"""The task kind whose minutes and water every stop takes once."""


@dataclass(frozen=True, slots=True)
class Needs:
    """A number with its parts, which add up to it."""

    total: float
    trace: tuple[Traced, ...]


type Work = Sequence[tuple[TaskKind, Equipment, str]]
"""Tasks to do, at which equipment, and of which system ("" where the site has one)."""


def minutes(work: Work, tasks: Mapping[str, TaskKind]) -> Needs:
    """Return the minutes of a visit. [min].

    Arriving and leaving once; each task its own minutes and those of the components it handles,
    laterals by their number; each buried lid once, however many tasks want it open.
    """
    trace = _once(tasks, "minutes")
    for task, has, system in work:
        trace += _of_task(task, has, system, task.minutes, task.minutes_each)
    trace += _buried_lids(work)
    return _summed(trace)


def water_needed(work: Work, tasks: Mapping[str, TaskKind]) -> Needs:
    """Return the water that a visit takes. [US gal]."""
    trace = _once(tasks, "water_gal")
    for task, has, system in work:
        each = dict(task.water_each_gal)
        plan = _purge_plan(task, has)
        if plan is not None:
            del each[ComponentKind.LATERALS]
        trace += _of_task(task, has, system, task.water_gal, each)
        if plan is not None:
            trace.append(Traced(_purge_name(task, has, system), plan.needed_gal, plan.said))
    return _summed(trace)


def purge_water(work: Work) -> Needs:
    """Return the part of a visit's water that purging laterals takes. [US gal].

    By the purge plan where the field is on file, else by the task's figure for each lateral.
    """
    trace = []
    for task, has, system in work:
        gal = task.water_each_gal.get(ComponentKind.LATERALS, 0.0)
        count = has.counts.get(ComponentKind.LATERALS, 0)
        if gal and count:
            plan = _purge_plan(task, has)
            said = plan.said if plan else task.source
            name = _purge_name(task, has, system)
            trace.append(Traced(name, plan.needed_gal if plan else gal * count, said))
    return _summed(trace)


def purge_hose_min(work: Work) -> float | None:
    """Return the minutes of hose that the purge water takes, None where no field is on file."""
    plans = [plan for task, has, _ in work if (plan := _purge_plan(task, has)) is not None]
    return sum(one.hose_min for one in plans) if plans else None


def _purge_plan(task: TaskKind, has: Equipment) -> PurgeNeed | None:
    """Return the purge of a task that takes water at laterals, None where the file lacks it."""
    if not task.water_each_gal.get(ComponentKind.LATERALS) or has.pressure_field is None:
        return None
    return purge_need(has.pressure_field)


def _purge_name(task: TaskKind, has: Equipment, system: str) -> str:
    name = f"{task.name} ({system})" if system else task.name
    return f"{name}: {has.counts.get(ComponentKind.LATERALS, 0)} × {ComponentKind.LATERALS}"


def septage(work: Work) -> Needs:
    """Return the septage that a visit takes aboard. [US gal]."""
    trace: list[Traced] = []
    for task, has, system in work:
        trace += _of_task(task, has, system, 0.0, task.septage_each_gal)
    return _summed(trace)


def water_bring(needed: Needs, available_gal: float | None, why_not: str = "") -> Needs:
    """Return the water to bring: what is needed less what the site has, never below 0. [US gal].

    Parameters
    ----------
    needed
        What the visit takes.
    available_gal
        What the site has, None where nothing is on file.
    why_not
        Why the site's water does not count on the date, "" where it does.
    """
    if why_not:
        return Needs(needed.total, (*needed.trace, Traced("Water on site", 0.0, why_not)))
    on_site = min(max(available_gal or 0.0, 0.0), needed.total)
    said = "site file" if available_gal is not None else "none on file: bring it all"
    return Needs(needed.total - on_site, (*needed.trace, Traced("Water on site", -on_site, said)))


def _once(tasks: Mapping[str, TaskKind], field: str) -> list[Traced]:
    arrival = tasks.get(ARRIVAL)
    if arrival is None:
        return []
    return [Traced(arrival.name, float(getattr(arrival, field)), arrival.source)]


def _of_task(
    task: TaskKind, has: Equipment, system: str, base: float, each: Mapping[str, float]
) -> list[Traced]:
    name = f"{task.name} ({system})" if system else task.name
    parts = [Traced(name, base, task.source)] if base else []
    for kind, value in each.items():
        n = has.counts.get(kind, 0)
        if n and value:
            said = "none on file, so many assumed; " if has.assumed else ""
            parts.append(Traced(f"{name}: {n} × {kind}", n * value, said + task.source))
    return parts


def _buried_lids(work: Work) -> list[Traced]:
    lids: dict[int, tuple[int, float, str]] = {}
    for task, has, _ in work:
        if task.buried_lid_minutes and has.buried_lids:
            known = lids.get(id(has), (0, 0.0, ""))
            best = max((task.buried_lid_minutes, task.source), known[1:])
            lids[id(has)] = (has.buried_lids, *best)
    return [
        Traced(f"Dig up {n} buried lid{'s' if n > 1 else ''}", n * each, source)
        for n, each, source in lids.values()
    ]


def _summed(trace: Iterable[Traced]) -> Needs:
    parts = tuple(trace)
    return Needs(sum(part.value for part in parts), parts)
