"""The form of a visit: each task with its steps and the readings to take, beside the last ones."""

from collections.abc import Iterable, Iterator, Mapping, Sequence, Set
from dataclasses import dataclass, field
from typing import Any

from registry.field.last_readings import last_readings
from registry.field.place import part_label
from registry.field.reading_checks import NOTHING_BEFORE, Last
from registry.field.reading_words import plain
from registry.records.reading_kinds import ReadingKind
from registry.records.systems import Component, ComponentKind, System
from registry.records.visits import Reading
from registry.records.work import TaskKind

TURNS = "turns open"
"""The reading that the state of a balancing valve is kept as."""

DOSE_ON, DOSE_OFF = "on_in", "off_in"
"""Details of the floats: their heights [in]."""

type Owed = tuple[int, str]
"""A system's id and the code of a task."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingAsk:
    """One reading to take; ``is_needed``: a number or a reason, since its part is on file."""

    kind: ReadingKind
    system_id: int
    component_id: int | None = None
    part: str = ""
    last: Last = NOTHING_BEFORE
    last_text: str = ""
    is_needed: bool = False

    @property
    def key(self) -> str:
        """What tells it from the other readings of a site."""
        return reading_key(self.kind.code, self.system_id, self.component_id)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskForm:
    """One task of one system: steps, cautions, readings; ``system`` names it beside others."""

    code: str
    name: str
    system_id: int
    system: str = ""
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    readings: tuple[ReadingAsk, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class OnFile:
    """What checks need to know of a system: figures by name, the last readings by kind."""

    figures: Mapping[str, float] = field(default_factory=dict)
    befores: Mapping[str, float] = field(default_factory=dict)


def reading_key(kind: str, system_id: int | None, component_id: int | None) -> str:
    """Return what tells one reading of a site from the others."""
    return f"{kind}:{system_id or 0}:{component_id or 0}"


def task_forms(
    systems: Sequence[System],
    owed: Sequence[Owed],
    tasks: Mapping[str, TaskKind],
    kinds: Mapping[str, ReadingKind],
    readings: Iterable[Reading],
) -> tuple[TaskForm, ...]:
    """Return the forms of the tasks of a visit, in their order.

    A reading is asked for once, in the first task that names it, at every component of its kind
    or once where none is on file; where none is, nothing is needed. The turns of a balancing valve
    are noted with its state, as found and as left, not as a reading.

    Parameters
    ----------
    systems
        The systems of the site, with their components.
    owed
        What is to be done.
    tasks, kinds
        Kinds of tasks and of readings by code; a kind that is not known has no limits.
    readings
        All readings of the site, superseded ones too.
    """
    known = _Known(systems, tasks, kinds, readings)
    asked: set[str] = set()
    forms = []
    for system_id, code in dict.fromkeys(owed):
        form = known.form(system_id, code, asked)
        if form is not None:
            asked |= {ask.key for ask in form.readings}
            forms.append(form)
    return tuple(forms)


def further_forms(
    systems: Sequence[System],
    forms: Sequence[TaskForm],
    tasks: Mapping[str, TaskKind],
    kinds: Mapping[str, ReadingKind],
    readings: Iterable[Reading],
) -> tuple[TaskForm, ...]:
    """Return the forms of the tasks that nobody planned, each as if it alone were added to a visit.

    Parameters
    ----------
    forms
        What is asked already: these tasks are left out, and so are their readings.
    tasks
        The kinds of tasks that may be added.
    systems, kinds, readings
        As for ``task_forms``.
    """
    known = _Known(systems, tasks, kinds, readings)
    planned = {(one.system_id, one.code) for one in forms}
    asked = {ask.key for one in forms for ask in one.readings}
    made = (
        known.form(system.id, code, asked)
        for system in systems
        for code in tasks
        if (system.id, code) not in planned
    )
    return tuple(one for one in made if one is not None)


class _Known:
    """What is known of a site's systems when forms are made."""

    def __init__(
        self,
        systems: Sequence[System],
        tasks: Mapping[str, TaskKind],
        kinds: Mapping[str, ReadingKind],
        readings: Iterable[Reading],
    ) -> None:
        self.by_id = {one.id: one for one in systems}
        self.tasks, self.kinds = tasks, kinds
        self.latest = {
            (one.last.kind, one.last.system_id, one.last.component_id): one.last
            for found in last_readings(readings).values()
            for one in found
        }

    def form(self, system_id: int, code: str, asked: Set[str]) -> TaskForm | None:
        """Return the form of a task without the readings that are asked already."""
        task, system = self.tasks.get(code), self.by_id.get(system_id)
        if task is None or system is None:
            return None
        asks = (
            ask
            for name in task.readings
            if name != TURNS
            for ask in _asks(self.kinds.get(name, ReadingKind(code=name)), system, self.latest)
        )
        return TaskForm(
            code=code,
            name=task.name,
            system_id=system_id,
            system=_system_word(system) if len(self.by_id) > 1 else "",
            steps=task.steps,
            cautions=task.cautions,
            readings=tuple(ask for ask in asks if ask.key not in asked),
        )


def on_file(system: System, readings: Iterable[Reading]) -> OnFile:
    """Return the figures of a system that its readings are checked by.

    Gallons per dose are the floats' drop times the gallons per inch of the pump tank; a panel on a
    timer doses by time, so there is no such figure.
    """
    details = {key: one for part in system.components for key, one in part.details.items()}
    tanks = [
        part.gal_per_in
        for part in system.components
        if part.kind is ComponentKind.PUMP_TANK and part.gal_per_in
    ]
    figures = {"gal_per_in": tanks[0]} if tanks else {}
    on_in, off_in = (_number(details.get(name, "")) for name in (DOSE_ON, DOSE_OFF))
    is_timed = "timer" in details.get("control", "").lower()
    if figures and on_in is not None and off_in is not None and not is_timed:
        figures["gal_per_dose"] = abs(on_in - off_in) * figures["gal_per_in"]
    return OnFile(
        figures=figures,
        befores={
            kind: one.last.value
            for kind, found in last_readings(readings).items()
            for one in found
            if one.last.system_id == system.id and one.last.value is not None
        },
    )


def forms_json(forms: Iterable[TaskForm]) -> list[dict[str, Any]]:
    """Return the forms as plain JSON values, for a page or a phone."""
    return [
        {
            "task": form.code,
            "name": form.name,
            "system_id": form.system_id,
            "system": form.system,
            "steps": form.steps,
            "cautions": form.cautions,
            "readings": [
                {
                    "kind": ask.kind.code,
                    "system_id": ask.system_id,
                    "component_id": ask.component_id,
                    "part": ask.part,
                    "needed": ask.is_needed,
                    "last": ask.last.value,
                    "last_text": ask.last_text,
                    "last_on": ask.last.on.isoformat() if ask.last.on else None,
                    "last_unit": ask.last.unit,
                }
                for ask in form.readings
            ],
        }
        for form in forms
    ]


def last_words(ask: ReadingAsk) -> str:
    """Return the last reading with its unit, without its day; empty where there is none."""
    if ask.last.value is None:
        return ask.last_text
    return f"{plain(ask.last.value)} {ask.last.unit}".strip()


def _asks(
    kind: ReadingKind,
    system: System,
    latest: Mapping[tuple[str, int | None, int | None], Reading],
) -> Iterator[ReadingAsk]:
    at = [one for one in system.components if one.kind.value in kind.at]
    places: list[Component | None] = [*at] or [None]
    for part in places:
        component_id = None if part is None else part.id
        last = latest.get((kind.code, system.id, component_id))
        if last is None and len(at) == 1:  # it was read when no component was on file
            last = latest.get((kind.code, system.id, None))
        yield ReadingAsk(
            kind=kind,
            system_id=system.id,
            component_id=component_id,
            part=_part(part, at),
            last=Last(value=last.value, on=last.read_on, unit=last.unit) if last else Last(),
            last_text=last.text if last else "",
            is_needed=(part is not None or not kind.at) and not kind.is_optional,
        )


def _part(part: Component | None, among: Sequence[Component]) -> str:
    return part_label(part) if part is not None and len(among) > 1 else ""


def _system_word(system: System) -> str:
    return f"{system.kind.value} {system.key}".strip()


def _number(text: str) -> float | None:
    try:
        return float(text)
    except ValueError:
        return None
