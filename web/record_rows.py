"""The rows of the recording page: what is asked, with what was given so far."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from registry.errors import RangeError
from registry.field.findings import FINDINGS
from registry.field.part_states import StateAsk, state_key
from registry.field.read_record import read_record
from registry.field.reading_checks import answers_to
from registry.field.return_to_service import GROUPS, ReturnItem
from registry.field.task_forms import ReadingAsk, TaskForm, reading_key
from registry.field.visit_checks import VisitForm, verdicts_of

WHY_NOT = (
    "could not be reached",
    "not there",
    "broken or unreadable",
    "system off",
    "out of time",
)
"""Reasons for a reading that was not taken, so that none needs typing."""

WHY_HERE = ("sent by the office", "alarm call", "swapped with a colleague", "near by and due")
"""Reasons for a visit off the own route, so that none needs typing."""

FINDING_ROWS = 3

type Given = Mapping[str, str]
NOTHING: Given = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingRow:
    """One reading: ``name`` is the start of its fields' names, ``said`` what the rules said."""

    name: str
    ask: ReadingAsk
    given: Given
    said: tuple[str, ...] = ()
    answers: tuple[str, ...] = ()

    @property
    def why_not(self) -> tuple[str, ...]:
        """The reasons to choose from, one that was written otherwise among them."""
        note = self.given.get("note", "")
        return WHY_NOT if not note or note in WHY_NOT else (*WHY_NOT, note)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskRow:
    """One task with its readings."""

    name: str
    form: TaskForm
    given: Given
    readings: tuple[ReadingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FurtherRow:
    """A task that nobody planned, as the page holds it ready; ``first`` as in ``RecordRows``."""

    task: TaskRow
    first: tuple[ReadingRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StateRow:
    """One state, as found and as left."""

    name: str
    ask: StateAsk
    given: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class ItemRow:
    """One return-to-service item that no state answers."""

    name: str
    item: ReturnItem
    given: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class ReturnGroup:
    """States and items of the return to service that are confirmed in one go."""

    code: str
    title: str
    states: tuple[StateRow, ...]
    items: tuple[ItemRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingRow:
    """Room for one finding; ``id`` is its UUID."""

    name: str
    id: str
    given: Given


@dataclass(frozen=True, slots=True, kw_only=True)
class RecordRows:
    """All rows of the page, in its order; ``first`` are read before anything runs."""

    first: tuple[ReadingRow, ...]
    tasks: tuple[TaskRow, ...]
    states: tuple[StateRow, ...]
    groups: tuple[ReturnGroup, ...]
    findings: tuple[FindingRow, ...]

    @property
    def in_order_words(self) -> str:
        """What "all found in order" says of the readings that come first: their first choice."""
        found = (row.ask for row in self.first if row.ask.kind.choices)
        words = (f"{ask.kind.code} {ask.kind.choices[0]}" for ask in found)
        return ", ".join(dict.fromkeys(words))


def record_rows(
    form: VisitForm, given: Mapping[str, Any], new_id: Callable[[], str], zone: str
) -> RecordRows:
    """Return the rows of a form, with what a record gave so far.

    Parameters
    ----------
    form
        What is asked.
    given
        The record as it was sent; empty at first.
    new_id
        Makes a UUID for a finding.
    zone
        The site's time zone.
    """
    states = _by(given, "states", lambda one: state_key(one.get("what", ""), _id(one)))
    readings = _by(given, "readings", _reading_key)
    outcomes = _by(given, "outcomes", lambda one: f"{one.get('system_id')}:{one.get('task')}")
    answers = _by(given, "answers", lambda one: one.get("item", ""))
    found = [one for one in _rows(given, "findings") if one.get("kind")]
    said = _said(form, given, zone)
    rows = {
        ask.key: ReadingRow(
            name=f"readings.{number}",
            ask=ask,
            given=readings.get(ask.key, NOTHING),
            said=tuple(said.get(ask.key, ((), ()))[0]),
            answers=tuple(said.get(ask.key, ((), ()))[1]),
        )
        for number, ask in enumerate(form.reading_asks().values())
    }
    state_rows = tuple(
        StateRow(name=f"states.{number}", ask=ask, given=states.get(ask.key, NOTHING))
        for number, ask in enumerate(form.asks)
    )
    return RecordRows(
        first=tuple(row for row in rows.values() if row.ask.kind.comes_first),
        tasks=tuple(
            TaskRow(
                name=f"outcomes.{number}",
                form=task,
                given=outcomes.get(f"{task.system_id}:{task.code}", NOTHING),
                readings=tuple(rows[ask.key] for ask in task.readings if not ask.kind.comes_first),
            )
            for number, task in enumerate(form.tasks)
        ),
        states=state_rows,
        groups=tuple(_groups(form, state_rows, answers)),
        findings=tuple(
            FindingRow(
                name=f"findings.{number}",
                id=(found[number].get("id", "") if number < len(found) else "") or new_id(),
                given=found[number] if number < len(found) else NOTHING,
            )
            for number in range(max(FINDING_ROWS, len(found)))
        ),
    )


def further_rows(further: Iterable[TaskForm], form: VisitForm) -> tuple[FurtherRow, ...]:
    """Return the rows of tasks that may be added; their names go on where the form's end."""
    number = len(form.reading_asks())
    made = []
    for at, task in enumerate(further, start=len(form.tasks)):
        rows = [
            ReadingRow(name=f"readings.{number + k}", ask=ask, given=NOTHING)
            for k, ask in enumerate(task.readings)
        ]
        number += len(rows)
        first = tuple(row for row in rows if row.ask.kind.comes_first)
        rest = tuple(row for row in rows if not row.ask.kind.comes_first)
        name = f"outcomes.{at}"
        made.append(
            FurtherRow(
                task=TaskRow(name=name, form=task, given=NOTHING, readings=rest), first=first
            )
        )
    return tuple(made)


def finding_kinds() -> tuple[str, ...]:
    """Return the kinds of findings to choose from."""
    return tuple(FINDINGS)


def _groups(
    form: VisitForm, states: tuple[StateRow, ...], answers: Mapping[str, Given]
) -> Iterator[ReturnGroup]:
    """Yield the groups of a form's return to service, each state where its item stands."""
    group_of = {item.code: item.group for item in form.items}
    by_state = {ask.item for ask in form.asks}
    items = [
        ItemRow(name=f"answers.{number}", item=item, given=answers.get(item.code, NOTHING))
        for number, item in enumerate(form.items)
        if item.code not in by_state
    ]
    for code, title in GROUPS.items():
        group = ReturnGroup(
            code=code,
            title=title,
            states=tuple(row for row in states if group_of[row.ask.item] == code),
            items=tuple(row for row in items if row.item.group == code),
        )
        if group.states or group.items:
            yield group


def _said(
    form: VisitForm, given: Mapping[str, Any], zone: str
) -> dict[str, tuple[list[str], tuple[str, ...]]]:
    """Return what the rules say of each reading, and the answers of which one is needed."""
    if not given:
        return {}
    try:
        visit = read_record(given, zone)
    except RangeError:
        return {}
    return {
        key: ([one.words for one in found], answers_to(found))
        for key, found in verdicts_of(visit, form).items()
    }


def _by(given: Mapping[str, Any], name: str, key_of: Callable[[Given], str]) -> dict[str, Given]:
    return {key_of(one): one for one in _rows(given, name)}


def _rows(given: Mapping[str, Any], name: str) -> Iterable[Given]:
    rows = given.get(name, [])
    if not isinstance(rows, list):
        return
    for row in rows:
        if isinstance(row, Mapping):
            yield {str(key): "" if one is None else str(one) for key, one in row.items()}


def _reading_key(one: Given) -> str:
    system = one.get("system_id", "")
    return reading_key(one.get("kind", ""), int(system) if system.isdigit() else None, _id(one))


def _id(one: Given) -> int | None:
    said = one.get("component_id", "")
    return int(said) if said.isdigit() else None
