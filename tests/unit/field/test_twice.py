"""Two records of one visit: what is a conflict, and what is kept of each."""

from dataclasses import replace
from datetime import date

from registry.field.twice import is_one_visit, said_twice, settled
from registry.records.gate_visit import (
    Answer,
    Ending,
    Finding,
    GateVisit,
    PartState,
    Said,
    TaskOutcome,
)
from registry.records.visits import Reading

DAY = date(2026, 6, 9)
BOTH = ("Ann", "Ben")


def reading(kind: str, value: float, visit_id: str = "a") -> Reading:
    return Reading(
        id=f"{visit_id}-{kind}", visit_id=visit_id, site_id=1, system_id=1, component_id=7,
        kind=kind, value=value, text="", read_on=DAY, unit="in",
    )  # fmt: skip


FIRST = GateVisit(
    id="a",
    site_id=1,
    on_date=DAY,
    technician_id=1,
    note="Gate was open.",
    outcomes=(TaskOutcome(system_id=1, task="inspection", outcome=Ending.DONE),),
    states=(PartState(what="lids", as_found="one loose", as_left="all on and fastened"),),
    readings=(reading("scum", 3.0), reading("sludge", 8.0)),
    answers=(Answer(item="gate", said=Said.YES),),
)
SECOND = replace(
    FIRST,
    id="b",
    technician_id=2,
    note="",
    states=(),
    readings=(reading("scum", 4.5, "b"), reading("ponding", 0.0, "b")),
    findings=(Finding(id="f", kind="worn part", seriousness="note"),),
)


def test_the_same_task_done_by_two_people_is_one_visit() -> None:
    assert is_one_visit((FIRST, SECOND), BOTH)
    assert is_one_visit((FIRST, replace(FIRST, id="b", technician_id=2)), BOTH)
    assert is_one_visit((FIRST, replace(SECOND, technician_id=1)), BOTH)  # one of them from paper


def test_two_visits_of_one_person_and_two_kinds_of_work_are_not() -> None:
    assert not is_one_visit((FIRST, replace(SECOND, technician_id=1)), ("Ann", "Ann"))
    pump_out = TaskOutcome(system_id=1, task="pump-out", outcome=Ending.DONE)
    other = replace(SECOND, outcomes=(pump_out,), readings=(), answers=())
    assert not is_one_visit((FIRST, other), BOTH)
    nobody_in = GateVisit(
        id="c", site_id=1, on_date=DAY, technician_id=2, ending=Ending.NOT_REACHED
    )
    assert not is_one_visit((FIRST, nobody_in), BOTH)


def test_what_differs_is_told_apart_from_what_is_alike() -> None:
    said = {one.key: (one.values, one.differs) for one in said_twice((FIRST, SECOND))}
    assert said == {
        "outcomes:1:inspection": (("done", "done"), False),
        "readings:scum:1:7": (("3", "4.5"), True),
        "answers:gate": (("yes", "yes"), False),
    }


def test_what_was_chosen_holds_and_nothing_that_one_alone_says_is_lost() -> None:
    record = settled((FIRST, SECOND), {"readings:scum:1:7": 1}, "c", lambda: "new")
    values = {one["kind"]: one["value"] for one in record["readings"]}
    assert values == {"scum": "4.5", "sludge": "8", "ponding": "0"}
    assert (record["id"], record["supersedes"], record["note"]) == ("c", "a", "Gate was open.")
    assert [one["what"] for one in record["states"]] == ["lids"]
    assert [(one["id"], one["kind"]) for one in record["findings"]] == [("new", "worn part")]
    assert record["ending"] == "done"
