"""A whole visit held to its form: what keeps it from being recorded, its readings as numbers."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from uuid import UUID, uuid5

from registry.field.closing import open_items
from registry.field.part_states import VALVE, StateAsk
from registry.field.reading_checks import answers_to, check_reading
from registry.field.reading_pairs import PAIRS, check_pair
from registry.field.reading_words import Level, Verdict
from registry.field.return_to_service import ReturnItem
from registry.field.task_forms import TURNS, OnFile, ReadingAsk, TaskForm, reading_key
from registry.records.gate_visit import Ending, GateVisit
from registry.records.reading_kinds import CHOICE, ReadingKind
from registry.records.systems import Component
from registry.records.visits import Reading

READINGS = UUID("0a6d0c0b-2d1f-5b6a-8d5e-6a4e7b0f9c31")
"""Name space of the ids of readings taken at a gate; any number of our own."""
VISIT_WORDS = {
    "off route": "This site is not on your route that day. Say why you are there.",
    "hazards": "Read the hazards first and say so.",
    "not reached": "Say why the site was not reached.",
    "left": "Say why you had to leave and what is open.",
    "no outcome": "{task}: say how it went.",
    "left over": "{task}: say what is left of it, and why.",
    "no reading": "{reading}: a number, or a word why there is none.",
    "blocked": "{reading}: {words}",
    "unanswered": "{reading}: {words} Answer: {choices}.",
}
"""What keeps a visit from being recorded; the phone fills in the same words by itself."""


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitForm:
    """All that a visit to a site is held to."""

    tasks: tuple[TaskForm, ...]
    asks: tuple[StateAsk, ...]
    items: tuple[ReturnItem, ...]
    on_file: Mapping[int, OnFile]
    kinds: Mapping[str, ReadingKind]
    components: tuple[Component, ...] = ()
    has_hazards: bool = True

    def reading_asks(self) -> dict[str, ReadingAsk]:
        """Return the readings of all tasks by their keys."""
        return {ask.key: ask for task in self.tasks for ask in task.readings}


def verdicts_of(visit: GateVisit, form: VisitForm) -> dict[str, list[Verdict]]:
    """Return what the rules say of a visit's readings, by reading; those in order are left out."""
    asks = form.reading_asks()
    said: dict[str, list[Verdict]] = {}
    for reading in visit.readings:
        if not reading.text:
            continue
        key = _key(reading)
        ask = asks.get(key)
        kind = ask.kind if ask else form.kinds.get(reading.kind, ReadingKind(code=reading.kind))
        said[key] = check_reading(reading.text, kind, *([ask.last] if ask else []))
    for system_id, file in form.on_file.items():
        read = [one for one in visit.readings if one.system_id == system_id]
        values = {
            one.kind: float(one.text)
            for one in read
            if one.text and not _is_blocked(said[_key(one)]) and _is_number(one.text)
        }
        for pair in PAIRS:
            beside = next((one for one in read if one.kind == pair.beside), None)
            if beside is not None and beside.text:
                said[_key(beside)] += check_pair(pair, values, file.befores, file.figures)
    return {key: one for key, one in said.items() if one}


def complaints(visit: GateVisit, form: VisitForm) -> list[str]:
    """Return what keeps a visit from being recorded, in words; nothing where all is in order.

    One that did not reach its site needs only to say why; one that had to be left may leave
    anything open but says why, and its readings are held to the same rules.
    """
    said = [*_of_places(visit, form), *_of_readings(visit, form)]
    if visit.ending is Ending.NOT_REACHED:
        return said if visit.left_open else [*said, VISIT_WORDS["not reached"]]
    if form.has_hazards and not visit.hazards_seen:
        said.insert(0, VISIT_WORDS["hazards"])
    if visit.ending is Ending.LEFT:
        return said if visit.left_open else [*said, VISIT_WORDS["left"]]
    said += _of_tasks(visit, form)
    return [*said, *open_items(visit, form.items, form.asks)]


def with_values(visit: GateVisit, form: VisitForm) -> GateVisit:
    """Return a visit whose readings are numbers where they are, with ids that stay the same.

    The turns of each balancing valve as left become a reading too, so that its series goes on.
    """
    systems = {one.id: one.system_id for one in form.components}
    turns = [
        Reading(
            id="",
            visit_id=visit.id,
            site_id=visit.site_id,
            system_id=systems.get(state.component_id or 0),
            component_id=state.component_id,
            kind=TURNS,
            value=None,
            text=state.as_left,
            read_on=visit.on_date,
            note=state.reason,
        )
        for state in visit.states
        if state.what == VALVE and state.as_left
    ]
    readings = tuple(_with_value(one, form) for one in (*visit.readings, *turns))
    return replace(visit, readings=tuple({one.id: one for one in readings}.values()))


def open_words(visit: GateVisit, form: VisitForm) -> tuple[str, ...]:
    """Return what a visit that had to be left leaves open, in words."""
    if visit.ending is not Ending.LEFT:
        return ()
    return tuple(open_items(visit, form.items, form.asks))


def _of_places(visit: GateVisit, form: VisitForm) -> Iterator[str]:
    """Yield what names a system, a component or a task that the site doesn't have."""
    known = {None, *form.on_file}
    parts = {None, *(one.id for one in form.components)}
    tasks = {(one.system_id, one.code) for one in form.tasks}
    named = [
        *((one.system_id, one.component_id) for one in visit.readings),
        *((one.system_id, one.component_id) for one in visit.findings),
        *((None, one.component_id) for one in visit.states),
    ]
    for system_id, component_id in named:
        if system_id not in known:
            yield f"The site has no system {system_id}."
        if component_id not in parts:
            yield f"The site has no component {component_id}."
    for outcome in visit.outcomes:
        if (outcome.system_id, outcome.task) not in tasks:
            yield f"There is no task “{outcome.task}” for system {outcome.system_id} here."


def _of_readings(visit: GateVisit, form: VisitForm) -> Iterator[str]:
    verdicts = verdicts_of(visit, form)
    for reading in visit.readings:
        name = _name(reading, form)
        found = verdicts.get(_key(reading), [])
        needed = answers_to(found)
        blocked = [one for one in found if one.level is Level.BLOCKED]
        for one in blocked:
            yield VISIT_WORDS["blocked"].format(reading=name, words=one.words)
        if needed and not blocked and reading.answer not in needed:
            why = " ".join(one.words for one in found)
            yield VISIT_WORDS["unanswered"].format(
                reading=name, words=why, choices=", or ".join(needed)
            )


def _of_tasks(visit: GateVisit, form: VisitForm) -> Iterator[str]:
    outcomes = {(one.system_id, one.task): one for one in visit.outcomes}
    read = {_key(one) for one in visit.readings}
    for task in form.tasks:
        said = outcomes.get((task.system_id, task.code))
        name = f"{task.name}, {task.system}" if task.system else task.name
        if said is None:
            yield VISIT_WORDS["no outcome"].format(task=name)
            continue
        if said.outcome is not Ending.DONE and not said.note:
            yield VISIT_WORDS["left over"].format(task=name)
        if said.outcome is Ending.DONE:
            for ask in task.readings:
                if ask.is_needed and ask.key not in read:
                    part = f", {ask.part}" if ask.part else ""
                    reading = f"{_capital(ask.kind.code)}{part}"
                    yield VISIT_WORDS["no reading"].format(reading=reading)


def _with_value(reading: Reading, form: VisitForm) -> Reading:
    kind = form.kinds.get(reading.kind, ReadingKind(code=reading.kind))
    as_number = bool(reading.text) and _is_number(reading.text)
    is_word = kind.input == CHOICE and not as_number
    return replace(
        reading,
        id=str(uuid5(READINGS, f"{reading.visit_id}\n{_key(reading)}")),
        value=float(reading.text) if as_number else None,
        text=reading.text if is_word else "",
        unit=kind.unit if as_number else "",
    )


def _name(reading: Reading, form: VisitForm) -> str:
    ask = form.reading_asks().get(_key(reading))
    part = f", {ask.part}" if ask and ask.part else ""
    return f"{_capital(reading.kind)}{part}"


def _key(reading: Reading) -> str:
    return reading_key(reading.kind, reading.system_id, reading.component_id)


def _is_blocked(verdicts: Sequence[Verdict]) -> bool:
    return any(one.level is Level.BLOCKED for one in verdicts)


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
