"""Closing a visit valve by valve, and what a finding asks; common practice, no source."""

from datetime import date

import pytest

from registry.field.closing import how_it_ended, open_items
from registry.field.findings import duty_words, follow_up_on
from registry.field.part_states import state_asks
from registry.field.return_to_service import return_to_service
from registry.records.gate_visit import (
    FAULT,
    NOTE,
    SERIOUS,
    Ending,
    GateVisit,
    PartState,
    TaskOutcome,
)
from registry.records.systems import Component, ComponentKind
from registry.store.rules import shipped

ASKED = tuple(shipped().reports.values())
"""The rules on reports that come with the program."""
PARTS = [
    Component(id=1, kind=ComponentKind.BALANCING_VALVE, label="V1", turns_open=3.5),
    Component(id=2, kind=ComponentKind.BALANCING_VALVE, label="V2"),
]


def said_of(*states: PartState) -> list[str]:
    """What is said of the valves of a site."""
    items = return_to_service(PARTS)
    asks = state_asks(PARTS, items)
    visit = GateVisit(id="v", site_id=1, on_date=date(2026, 6, 15), states=states)
    return [one for one in open_items(visit, items, asks) if one.startswith("Turns open")]


def valve(number: int, found: str, left: str, reason: str = "") -> PartState:
    """A valve's state."""
    return PartState(what="valve", component_id=number, as_found=found, as_left=left, reason=reason)


@pytest.mark.parametrize(
    ("first", "said"),
    [
        (valve(1, "3.5", "3.50"), []),
        (valve(1, "3.5", "0"), ["found 3.5, left 0. Say why."]),
        (valve(1, "3.5", "3.25", "squirt heights even now"), []),
        (valve(1, "0", "0"), ["left 0, in order is 3.5. Say why."]),
        (valve(1, "3.5", ""), ["say how it is left."]),
        (valve(1, "3.5", "open"), ["“open” is no number of turns from 0 to 60"]),
    ],
)
def test_a_valve_left_otherwise_than_found_or_on_file_needs_a_reason(
    first: PartState, said: list[str]
) -> None:
    found = said_of(first, valve(2, "2", "2"))
    assert len(found) == len(said)
    assert all(part in words for part, words in zip(said, found, strict=True))


def test_each_valve_is_asked_for_by_itself() -> None:
    found = said_of(valve(1, "3.5", "3.5"))
    assert found == [
        "Turns open, balancing valve: V2: say how it was found.",
        "Turns open, balancing valve: V2: say how it is left.",
    ]


def test_a_visit_is_done_only_if_each_of_its_tasks_is() -> None:
    done = TaskOutcome(system_id=1, task="filter", outcome=Ending.DONE)
    partly = TaskOutcome(system_id=1, task="purge", outcome=Ending.PARTLY)
    assert how_it_ended([done], Ending.DONE) is Ending.DONE
    assert how_it_ended([done, partly], Ending.DONE) is Ending.PARTLY
    assert how_it_ended([done], Ending.LEFT) is Ending.LEFT


@pytest.mark.parametrize(
    ("seriousness", "found_on", "seen_to"),
    [
        (SERIOUS, date(2026, 6, 15), date(2026, 6, 16)),
        (SERIOUS, date(2026, 6, 19), date(2026, 6, 22)),  # a Friday: on Monday
        (FAULT, date(2026, 6, 15), date(2026, 7, 15)),
        (FAULT, date(2026, 6, 19), date(2026, 7, 17)),  # 30 days on is a Sunday: the Friday before
        (NOTE, date(2026, 6, 15), None),
    ],
)
def test_a_finding_is_seen_to_on_a_working_day(
    seriousness: str, found_on: date, seen_to: date | None
) -> None:
    assert follow_up_on(seriousness, found_on) == seen_to


def test_hours_to_report_are_said_only_where_the_rule_was_read() -> None:
    # 15A NCAC 18E .1304: repairs needed, tell the health department in 48 h.
    assert "within 48 h (15A NCAC 18E .1304" in duty_words(ASKED, SERIOUS, "NC")
    assert "within 48 h" in duty_words(ASKED, FAULT, "NC-SOMEWHERE")
    assert "the same day" in duty_words(ASKED, SERIOUS, "WA")
    assert duty_words(ASKED, NOTE, "NC") == ""
