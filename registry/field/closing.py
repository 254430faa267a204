"""Closing a visit: refused while anything of the return to service is open."""

from collections.abc import Iterator, Mapping, Sequence

from registry.errors import RangeError
from registry.field.part_states import VALVE, StateAsk, state_key
from registry.field.return_to_service import ReturnItem
from registry.records.gate_visit import Answer, Ending, GateVisit, PartState, Said, TaskOutcome

MOST_TURNS = 60.0
"""No valve has more; common practice, no source."""

ITEM_WORDS = {
    "no as found": "{what}: say how it was found.",
    "no as left": "{what}: say how it is left.",
    "other": "{what}: found {found}, left {left}. Say why.",
    "wrong": "{what}: left {left}, in order is {in_order}. Say why.",
    "no turns": "{what}: “{said}” is no number of turns from 0 to {most}, counted from fully shut.",
    "unanswered": "{what}: not answered.",
    "open": "{what}: still open.",
    "changed": "{what}: changed. Say why.",
}
"""What is said of an item that keeps a visit open; the names in braces are filled in."""


def open_items(
    visit: GateVisit, items: Sequence[ReturnItem], asks: Sequence[StateAsk]
) -> list[str]:
    """Return what keeps a visit from being closed, in words; nothing where all is answered.

    As left is compared with as found part by part, valve by valve; a difference needs a reason, and
    so does a part that is left otherwise than in order. An item whose parts' states were noted is
    answered by them.
    """
    states = {state_key(one.what, one.component_id): one for one in visit.states}
    answers = {one.item: one for one in visit.answers}
    by_state = {ask.item for ask in asks}
    said = [words for ask in asks for words in _of_state(ask, states.get(ask.key))]
    for item in items:
        if item.code not in by_state:
            said += _of_answer(item, answers.get(item.code))
    return said


def how_it_ended(outcomes: Sequence[TaskOutcome], wanted: Ending) -> Ending:
    """Return how a visit ended: one that was closed is done only if each of its tasks is."""
    if wanted in {Ending.NOT_REACHED, Ending.LEFT}:
        return wanted
    return Ending.DONE if all(one.outcome is Ending.DONE for one in outcomes) else Ending.PARTLY


def still_owed(visit: GateVisit) -> tuple[TaskOutcome, ...]:
    """Return the tasks of a visit that were not done: they stay due."""
    return tuple(one for one in visit.outcomes if one.outcome is not Ending.DONE)


def turns_in(text: str) -> float:
    """Return a number of turns from fully shut.

    Raises
    ------
    RangeError
        If it is none, or one that no valve has.
    """
    try:
        turns = float(text)
    except ValueError:
        turns = -1.0
    if not 0 <= turns <= MOST_TURNS:
        raise RangeError(f"“{text}” is no number of turns from 0 to {MOST_TURNS:g}.")
    return turns


def closing_json(asks: Sequence[StateAsk], items: Sequence[ReturnItem]) -> Mapping[str, object]:
    """Return states, items and words as plain JSON values, for a phone that checks by itself."""
    by_state = {ask.item for ask in asks}
    return {
        "words": ITEM_WORDS,
        "most_turns": MOST_TURNS,
        "states": [
            {
                "what": ask.what,
                "component_id": ask.component_id,
                "label": ask.label,
                "words": ask.words,
                "in_order": ask.in_order,
            }
            for ask in asks
        ],
        "items": [
            {"item": item.code, "text": item.text} for item in items if item.code not in by_state
        ],
    }


def _of_state(ask: StateAsk, state: PartState | None) -> Iterator[str]:
    found, left = (state.as_found, state.as_left) if state else ("", "")
    if not found:
        yield ITEM_WORDS["no as found"].format(what=ask.label)
    if not left:
        yield ITEM_WORDS["no as left"].format(what=ask.label)
    if state is None or not found or not left:
        return
    if ask.what == VALVE:
        wrong = [said for said in (found, left) if not _is_turns(said)]
        if wrong:
            yield ITEM_WORDS["no turns"].format(
                what=ask.label, said=wrong[0], most=f"{MOST_TURNS:g}"
            )
            return
    if state.reason.strip():
        return
    if not _same(ask, found, left):
        yield ITEM_WORDS["other"].format(what=ask.label, found=found, left=left)
    elif ask.in_order and not _same(ask, left, ask.in_order):
        yield ITEM_WORDS["wrong"].format(what=ask.label, left=left, in_order=ask.in_order)


def _same(ask: StateAsk, one: str, other: str) -> bool:
    if ask.what == VALVE:
        return turns_in(one) == turns_in(other)
    return one == other


def _is_turns(text: str) -> bool:
    try:
        turns_in(text)
    except RangeError:
        return False
    return True


def _of_answer(item: ReturnItem, answer: Answer | None) -> Iterator[str]:
    if answer is None:
        yield ITEM_WORDS["unanswered"].format(what=item.text)
    elif answer.said is Said.OPEN:
        yield ITEM_WORDS["open"].format(what=item.text)
    elif answer.said is Said.CHANGED and not answer.reason.strip():
        yield ITEM_WORDS["changed"].format(what=item.text)
