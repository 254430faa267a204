"""The gate sheet: all that a technician reads at a site, in the order in which it is needed."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from registry.due.visit_hours import Hours, hours_on
from registry.field.cautions import CAUTIONS, Caution
from registry.field.heights import with_heights
from registry.field.last_readings import LastReading, last_readings
from registry.field.place import PlacedPart, part_label, place_parts
from registry.field.return_to_service import ReturnItem, return_to_service
from registry.records.flood import FloodFact
from registry.records.places import Hazard, Site
from registry.records.systems import Component, ComponentKind, System
from registry.records.visits import FOLLOW_UP, DueVisit, Reading, Traced
from registry.records.work import TaskKind

AT_EACH = {
    "squirt height": ComponentKind.PURGE_END,
    "turns open": ComponentKind.BALANCING_VALVE,
    "ponding": ComponentKind.MONITORING_WELL,
    "filter blocked": ComponentKind.EFFLUENT_FILTER,
    "scum": ComponentKind.SEPTIC_TANK,
    "sludge": ComponentKind.SEPTIC_TANK,
}
"""Readings that are taken at every component of a kind, not once a site."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Prompt:
    """One reading to take: what, at which part, and what it was the last times."""

    kind: str
    part: str = ""
    unit: str = ""
    last: Reading | None = None
    before: Reading | None = None
    change_share: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetTask:
    """One task with its steps and cautions, and its readings beside the last ones."""

    code: str
    name: str
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    prompts: tuple[Prompt, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Bring:
    """What must be on the truck, and who must come.

    ``purge_gal`` of the water needed is for purging laterals, ``purge_hose_min`` the minutes of
    hose that this takes, None where no purge plan can be made from the file.
    """

    tools: tuple[str, ...] = ()
    water_bring_gal: float = 0.0
    water_needed_gal: float = 0.0
    water_available_gal: float | None = None
    water_trace: tuple[Traced, ...] = ()
    purge_gal: float = 0.0
    purge_hose_min: float | None = None
    licences: tuple[str, ...] = ()
    skills: tuple[str, ...] = ()
    people: int = 1
    service_min: float = 0.0
    minutes_trace: tuple[Traced, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class GateSheet:
    """A gate sheet; its fields stand in the order of the page.

    ``windows`` are the local minutes in which work may start on the date, empty = closed
    (``closed_why``). Findings have no field: on paper they are blank lines.
    """

    site: Site
    on_date: date
    hazards: tuple[Hazard, ...]
    cautions: tuple[Caution, ...]
    windows: tuple[tuple[int, int], ...]
    closed_why: str
    parts: tuple[PlacedPart, ...]
    fact: FloodFact | None
    bring: Bring
    tasks: tuple[SheetTask, ...]
    return_items: tuple[ReturnItem, ...]


def gate_sheet(
    site: Site,
    systems: Sequence[System],
    visit: DueVisit | None,
    kinds: Mapping[str, TaskKind],
    *,
    on_date: date,
    fact: FloodFact | None = None,
    readings: Iterable[Reading] = (),
    ngvd29_to_navd88_ft: float | None = None,
) -> GateSheet:
    """Return the gate sheet of a site for a date.

    Parameters
    ----------
    site
        The site, with the fields that the reader may see.
    systems
        Its systems with their components.
    visit
        What is due there; None where nothing is, and the sheet has no tasks.
    kinds
        Task kinds by code.
    on_date
        The date of the visit.
    fact
        What the flood layers say of the site.
    readings
        All readings of the site, superseded ones too.
    ngvd29_to_navd88_ft
        The jurisdiction's stated offset between the vertical datums. [ft]

    Returns
    -------
    GateSheet
        Complete: what is not known is said, not left out.
    """
    components = [part for system in systems for part in system.components]
    tasks = [_kind_of(name, kinds) for name in visit.tasks] if visit else []
    parts = place_parts(site, components)
    latest = last_readings(readings)
    if visit is None:
        hours = hours_on(on_date, site.windows, site.exceptions, site.season_from, site.season_to)
    else:
        hours = Hours(visit.windows, visit.closed_why)
    return GateSheet(
        site=site,
        on_date=on_date,
        hazards=site.hazards,
        cautions=CAUTIONS,
        windows=hours.windows,
        closed_why=hours.closed_why,
        parts=with_heights(parts, fact.bfe if fact else None, ngvd29_to_navd88_ft),
        fact=fact,
        bring=_bring(visit, site, tasks),
        tasks=tuple(_task(_named(kind, visit), components, latest) for kind in tasks),
        return_items=return_to_service(components),
    )


def _kind_of(name: str, kinds: Mapping[str, TaskKind]) -> TaskKind:
    """Return a task's kind by code or name; one that is no longer known keeps its own word."""
    by_name = {kind.name: kind for kind in kinds.values()}
    return kinds.get(name) or by_name.get(name) or TaskKind(code=name, name=name, minutes=0)


def _named(kind: TaskKind, visit: DueVisit | None) -> TaskKind:
    """Return a task with a name that says of a follow-up what was found."""
    if visit is None or kind.code != FOLLOW_UP or not visit.follow_ups:
        return kind
    return replace(kind, name=f"{kind.name}: {', '.join(visit.follow_ups)}")


def _bring(visit: DueVisit | None, site: Site, tasks: Sequence[TaskKind]) -> Bring:
    if visit is None:
        return Bring(water_available_gal=site.water_available_gal)
    tools = visit.tools or tuple(tool for kind in tasks for tool in kind.tools)
    return Bring(
        tools=tuple(dict.fromkeys(tools)),
        water_bring_gal=visit.water_bring_gal,
        water_needed_gal=visit.water_needed_gal,
        water_available_gal=site.water_available_gal,
        water_trace=visit.water_trace,
        purge_gal=visit.purge_gal,
        purge_hose_min=visit.purge_hose_min,
        licences=visit.licences,
        skills=visit.skills,
        people=visit.people,
        service_min=visit.service_min,
        minutes_trace=visit.minutes_trace,
    )


def _task(
    kind: TaskKind, components: Sequence[Component], latest: Mapping[str, tuple[LastReading, ...]]
) -> SheetTask:
    prompts = (
        prompt
        for reading in kind.readings
        for prompt in _prompts(reading, components, latest.get(reading, ()))
    )
    return SheetTask(
        code=kind.code,
        name=kind.name,
        steps=kind.steps,
        cautions=kind.cautions,
        prompts=tuple(prompts),
    )


def _prompts(
    kind: str, components: Sequence[Component], latest: Sequence[LastReading]
) -> list[Prompt]:
    """Return a prompt for every part where a reading is due or was taken, one at least."""
    labels = {one.id: part_label(one) for one in components}
    unit = next((one.last.unit for one in latest if one.last.unit), "")
    prompts = [
        Prompt(
            kind=kind,
            part="" if one.last.component_id is None else labels.get(one.last.component_id, ""),
            unit=one.last.unit or unit,
            last=one.last,
            before=one.before,
            change_share=one.change_share,
        )
        for one in latest
    ]
    read_at = {one.last.component_id for one in latest}
    prompts.extend(
        Prompt(kind=kind, part=labels[one.id], unit=unit)
        for one in components
        if one.kind is AT_EACH.get(kind) and one.id not in read_at
    )
    return prompts or [Prompt(kind=kind, unit=unit)]
