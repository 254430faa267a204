"""Recording a visit: kept once, due list moved, corrections beside what they correct."""

from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from registry.errors import AccessError, ConflictError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.day_notes import NoteKind
from registry.records.gate_visit import Ending
from registry.services.recompute_due import recompute_due
from registry.services.record_visit import Recorded, record_visit
from registry.store import Session, Store, day_notes, days, gate_visits, visits
from registry.store.obligations import obligations_of_sites
from registry.store.tables import ComponentRow, TechnicianRow
from tests.store.due_rows import add, county, house

TODAY = date(2026, 6, 15)
NOW = datetime(2026, 6, 15, 19, 30, tzinfo=UTC)
OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
HANDS = Viewer(name="hands", role=Role.TECHNICIAN, firm_id=1, technician_id=7)
FIRST = "11111111-1111-4111-8111-111111111111"
SECOND = "22222222-2222-4222-8222-222222222222"
FINDING = "33333333-3333-4333-8333-333333333333"
TANK, FILTER = 101, 102
"""Components of the only site."""


@pytest.fixture
def here(session: Session) -> Session:
    """A gravity system with a tank and a filter, last seen three years ago."""
    county(session, "NC")
    house(session, 1, installed_on=date(2020, 1, 15))
    add(
        session,
        TechnicianRow(
            id=7,
            firm_id=1,
            name="Invented Hands",
            initials="IH",
            shift_from_min=480,
            shift_to_min=960,
        ),
        ComponentRow(id=TANK, system_id=1, kind="septic tank"),
        ComponentRow(id=FILTER, system_id=1, kind="effluent filter"),
    )
    recompute_due(session, TODAY)
    return session


def body(**changed: Any) -> dict[str, Any]:
    """A whole visit: inspection and filter done, everything as found."""
    return {
        "id": FIRST,
        "site_id": 1,
        "on_date": "2026-06-15",
        "arrived_at": "14:05",
        "left_at": "14:50",
        "hazards_seen": True,
        "states": [
            {
                "what": "filter",
                "component_id": FILTER,
                "as_found": "in and seated",
                "as_left": "in and seated",
            },
            {
                "what": "lids",
                "as_found": "all on and fastened",
                "as_left": "all on and fastened",
            },
        ],
        "outcomes": [
            {"system_id": 1, "task": "inspection", "outcome": "done"},
            {"system_id": 1, "task": "filter", "outcome": "done"},
        ],
        "readings": [
            reading("liquid depth", "48"),
            reading("liquid level", "at the outlet"),
            reading("scum", "2.5"),
            reading("sludge", "6"),
            reading("filter blocked", "25", FILTER),
        ],
        "answers": [
            {"item": one, "said": "yes"} for one in ("ground", "gate", "tools", "wash", "owner")
        ],
    } | changed


def reading(kind: str, value: str, component_id: int = TANK, **more: str) -> dict[str, Any]:
    """One reading of a record."""
    return {
        "kind": kind,
        "value": value,
        "system_id": 1,
        "component_id": component_id,
    } | more


def record(session: Session, viewer: Viewer = HANDS, **changed: Any) -> Recorded:
    """Record the whole visit, changed."""
    return record_visit(session, viewer, body(**changed), NOW, lambda _: TODAY)


def due(session: Session, task: str) -> date | None:
    """When a task of the site is due."""
    return next(one.due_on for one in obligations_of_sites(session, [1]) if one.task == task)


def test_a_visit_moves_what_was_done_to_its_next_date(here: Session) -> None:
    assert record(here).is_new
    (kept,) = visits.visits_of_site(here, 1)
    assert (kept.technician, kept.outcome) == ("Invented Hands", "in order")
    assert kept.done == ((1, "filter"), (1, "inspection"))
    values = {one.kind: (one.value, one.text, one.unit) for one in kept.readings}
    assert values["scum"] == (2.5, "", "in")
    assert values["liquid level"] == (None, "at the outlet", "")
    assert values["filter blocked"] == (25.0, "", "%")
    assert due(here, "inspection") == date(2029, 6, 15)
    assert due(here, "filter") == date(2027, 6, 15)


def test_a_record_sent_twice_is_kept_once(store: Store, here: Session) -> None:
    record(here)
    here.commit()
    with store.session() as again:
        assert not record(again).is_new
        assert len(visits.visits_of_site(again, 1)) == 1
        with pytest.raises(ConflictError, match="id of its own"):
            record(again, note="something else")


def test_only_what_was_done_counts_and_the_rest_stays_due(here: Session) -> None:
    before = due(here, "filter")
    partly = [
        {"system_id": 1, "task": "inspection", "outcome": "done"},
        {"system_id": 1, "task": "filter", "outcome": "partly", "note": "handle broke off"},
    ]
    done = record(here, outcomes=partly)
    assert done.ending is Ending.PARTLY
    assert [(one.task, one.note) for one in done.owed] == [("filter", "handle broke off")]
    assert due(here, "filter") == before
    assert due(here, "inspection") == date(2029, 6, 15)
    assert visits.visits_of_site(here, 1)[0].outcome == "follow-up owed"


def test_a_visit_is_not_closed_while_something_is_open(here: Session) -> None:
    left = [dict(one) for one in body()["states"]]
    left[1]["as_left"] = "one loose"
    with pytest.raises(RangeError) as refused:
        record(here, states=left[1:], answers=body()["answers"][1:])
    said = str(refused.value).splitlines()
    assert said == [
        "Filter: say how it was found.",
        "Filter: say how it is left.",
        "Lids: found all on and fastened, left one loose. Say why.",
        "Probe holes filled, turf put back: not answered.",
    ]
    assert visits.visits_of_site(here, 1) == []


def test_who_had_to_leave_says_why_and_what_is_open_goes_to_the_office(here: Session) -> None:
    with pytest.raises(RangeError, match="Say why you had to leave"):
        record(here, ending="had to leave", states=[], outcomes=[], answers=[])
    done = record(
        here, ending="had to leave", states=[], outcomes=[], answers=[], left_open="lightning"
    )
    assert "Lids: say how it is left." in done.left_open
    (note,) = day_notes.notes_on(here, 1, TODAY)
    assert (note.kind, note.text, note.technician_id) == (
        NoteKind.NOT_REACHED,
        "had to leave, lightning",
        7,
    )


def test_a_site_that_was_not_reached_owes_what_it_owed(here: Session) -> None:
    before = due(here, "inspection")
    record(
        here,
        ending="not reached",
        left_open="gate locked",
        states=[],
        outcomes=[],
        readings=[],
        answers=[],
    )
    assert due(here, "inspection") == before
    assert visits.visits_of_site(here, 1)[0].outcome == "not reached"


def test_a_word_where_a_number_belongs_is_refused_and_everything_is_said_at_once(
    here: Session,
) -> None:
    with pytest.raises(RangeError) as refused:
        record(here, readings=[reading("scum", "OK"), reading("sludge", "-2")], hazards_seen=True)
    said = str(refused.value)
    for words in ("Scum: “OK” is no number", "Sludge: -2 cannot be", "Liquid depth: a number, or"):
        assert words in said


def test_an_unlikely_reading_is_kept_with_its_answer(here: Session) -> None:
    unlikely = [*body()["readings"][:2], reading("scum", "20"), *body()["readings"][3:]]
    with pytest.raises(RangeError, match="Answer: read twice, it stands"):
        record(here, readings=unlikely)
    unlikely[2]["answer"] = "read twice, it stands"
    record(here, readings=unlikely)
    (scum,) = visits.readings_of_site(here, 1, "scum")
    assert (scum.value, scum.answer) == (20.0, "read twice, it stands")


def test_a_serious_finding_is_followed_up_on_the_next_working_day(here: Session) -> None:
    found = {"id": FINDING, "kind": "sewage on the ground", "note": "ten feet from the tank"}
    done = record(here, findings=[found])
    (kept,) = gate_visits.findings_of_sites(here, [1])
    assert (kept.seriousness, kept.follow_up_on) == ("serious", date(2026, 6, 16))
    # 15A NCAC 18E .1304: repairs needed, tell the health department in 48 h.
    assert kept.report_by == datetime(2026, 6, 15, 14, 5, tzinfo=UTC) + timedelta(hours=48)
    (hold,) = days.holds_on(here, 1, date(2026, 6, 16))
    assert hold.note == "follow-up: sewage on the ground, found 2026-06-15"
    assert done.findings == (kept,)


def test_a_hold_with_promised_hours_is_left_alone_by_a_follow_up(here: Session) -> None:
    from registry.records.visits import Hold

    promised = Hold(site_id=1, on_date=date(2026, 6, 16), note="promised", from_min=540)
    days.put_hold(here, 1, promised, NOW)
    record(here, findings=[{"id": FINDING, "kind": "wet panel"}])
    (hold,) = days.holds_on(here, 1, date(2026, 6, 16))
    assert (hold.note, hold.from_min) == ("promised", 540)


def test_a_correction_stands_beside_what_it_corrects(here: Session) -> None:
    record(here, findings=[{"id": FINDING, "kind": "worn part"}])
    mended = [reading("scum", "3"), *body()["readings"][:2], *body()["readings"][3:4]]
    mended.append(reading("filter blocked", "", FILTER, note="handle missing"))
    done = record(here, id=SECOND, supersedes=FIRST, readings=mended)
    assert done.is_new
    assert [one.id for one in visits.visits_of_site(here, 1)] == [SECOND]
    assert gate_visits.findings_of_sites(here, [1]) == []
    scum = visits.readings_of_site(here, 1, "scum", with_superseded=True)
    assert {(one.value, bool(one.supersedes)) for one in scum} == {(2.5, False), (3.0, True)}
    (blocked,) = visits.readings_of_site(here, 1, "filter blocked")
    assert (blocked.value, blocked.note) == (None, "handle missing")
    with pytest.raises(ConflictError, match="corrected meanwhile"):
        record(here, id="44444444-4444-4444-8444-444444444444", supersedes=FIRST)


def test_what_a_correction_takes_back_no_longer_counts(here: Session) -> None:
    record(here)
    none = [
        {"system_id": 1, "task": task, "outcome": "not reached", "note": "wrong site"}
        for task in ("inspection", "filter")
    ]
    before = due(here, "inspection")
    record(here, id=SECOND, supersedes=FIRST, outcomes=none, readings=[])
    assert due(here, "inspection") != before
    assert all(one.value is None for one in visits.readings_of_site(here, 1))


def test_a_clock_that_is_a_day_slow_is_put_right(here: Session) -> None:
    wrong = body(on_date="2026-06-14", arrived_at="2026-06-14T14:05:00+00:00", left_at=None)
    record_visit(here, HANDS, wrong, NOW, lambda _: TODAY, sent_at=NOW - timedelta(days=1))
    (kept,) = visits.visits_of_site(here, 1)
    assert kept.on_date == TODAY
    assert {one.read_on for one in kept.readings} == {TODAY}
    sent = gate_visits.gate_visit(here, FIRST)
    assert sent is not None
    assert sent.arrived_at == datetime(2026, 6, 14, 14, 5, tzinfo=UTC)
    assert sent.device_offset_s == 86_400.0


def test_the_day_is_told_that_a_visit_is_done(here: Session) -> None:
    record(here)
    (note,) = day_notes.notes_on(here, 1, TODAY)
    assert (note.kind, note.at_min, note.site_id) == (NoteKind.DONE, 14 * 60 + 50, 1)


def test_paper_that_is_typed_in_later_says_nothing_of_the_running_day(here: Session) -> None:
    record(here, OFFICE, from_paper=True, technician_id=7)
    assert day_notes.notes_on(here, 1, TODAY) == []
    (kept,) = visits.visits_of_site(here, 1)
    assert (kept.technician, kept.recorded_by) == ("Invented Hands", "office")


def test_a_technician_records_under_the_own_name_only(here: Session) -> None:
    record(here, technician_id=99)
    assert visits.visits_of_site(here, 1)[0].technician_id == 7


@pytest.mark.parametrize(
    ("viewer", "changed", "wrong"),
    [
        (Viewer(name="county", role=Role.COUNTY, jurisdiction_ids=(1,)), {}, AccessError),
        (Viewer(name="other", role=Role.TECHNICIAN, firm_id=2, technician_id=9), {}, NotFoundError),
        (OFFICE, {"technician_id": 99}, NotFoundError),
        (OFFICE, {"site_id": 2}, NotFoundError),
        (OFFICE, {"supersedes": SECOND}, NotFoundError),
        (OFFICE, {"on_date": "2026-06-16"}, RangeError),
        (OFFICE, {"id": "1"}, RangeError),
        (OFFICE, {"readings": [reading("scum", "2", 999)]}, RangeError),
        (
            OFFICE,
            {"outcomes": [{"system_id": 1, "task": "juggling", "outcome": "done"}]},
            RangeError,
        ),
    ],
)
def test_what_may_not_be_recorded_leaves_nothing_behind(
    here: Session, viewer: Viewer, changed: dict[str, Any], wrong: type[Exception]
) -> None:
    with pytest.raises(wrong):
        record(here, viewer, **changed)
    assert visits.visits_of_site(here, 1) == []
