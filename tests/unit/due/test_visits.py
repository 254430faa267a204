from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.due.crew import Crew
from registry.due.equipment import Equipment, equipment
from registry.due.visit_hours import hours_on
from registry.due.visit_needs import Needs, water_bring
from registry.due.visit_worth import visit_worth, worth_by_site
from registry.due.visits import DueSite, due_visit_of
from registry.records.crew import Licence, Technician
from registry.records.places import ServiceWindow, WindowException
from registry.records.systems import Component, ComponentKind
from registry.records.visits import Hold
from registry.records.work import Obligation, TaskKind

MONDAY = date(2026, 6, 15)
TASKS = {
    one.code: one
    for one in (
        TaskKind(code="arrival", name="Arriving", minutes=10, water_gal=1.5, source="s"),
        TaskKind(
            code="inspection",
            name="Look",
            minutes=20,
            minutes_each={"septic tank": 12},
            water_gal=5,
            buried_lid_minutes=20,
            licence="maintenance",
            tools=("probe", "shovel"),
            base_worth_s=1500,
            late_harm_s_per_day=60,
        ),
        TaskKind(
            code="purge",
            name="Purge",
            minutes=9,
            minutes_each={"laterals": 6},
            water_each_gal={"laterals": 7},
            buried_lid_minutes=10,
            skills=("pressure",),
            tools=("tape", "probe"),
            base_worth_s=1800,
            late_harm_s_per_day=75,
        ),
        TaskKind(
            code="pump-out",
            name="Pump-out",
            minutes=60,
            licence="pumper",
            people=2,
            base_worth_s=1000,
            late_harm_s_per_day=10,
        ),
        TaskKind(code="alarm call", name="Alarm call", minutes=60),
        TaskKind(code="follow-up", name="Follow-up of a finding", minutes=45),
    )
}


def owed(task: str = "inspection", late: int = 0, system_id: int = 1, **more) -> Obligation:
    return Obligation(
        id=system_id * 100 + list(TASKS).index(task),
        system_id=system_id,
        site_id=1,
        task=task,
        due_on=MONDAY - timedelta(days=late),
        **more,
    )


def site(*obligations: Obligation, **more) -> DueSite:
    return DueSite(
        **{
            "site_id": 1,
            "key": "S-1",
            "obligations": obligations,
            "systems": {1: ("mound", "A"), 2: ("gravity", "B")},
            "equipment": {1: Equipment({"septic tank": 1, "laterals": 4})},
        }
        | more
    )


def visit(*obligations: Obligation, crew: Crew | None = None, **more):
    return due_visit_of(site(*obligations, **more), TASKS, MONDAY, crew)


def test_minutes_are_arrival_once_tasks_and_what_they_handle():
    found = visit(owed("inspection"), owed("purge"))
    assert found.service_min == 10 + 20 + 12 + 9 + 4 * 6
    assert found.service_min == sum(part.value for part in found.minutes_trace)
    assert [part.label for part in found.minutes_trace][:3] == [
        "Arriving",
        "Look",
        "Look: 1 × septic tank",
    ]


def test_a_buried_lid_is_dug_up_once_however_many_tasks_want_it_open():
    lids = Equipment({"septic tank": 1, "laterals": 4}, buried_lids=2)
    found = visit(owed("inspection"), owed("purge"), equipment={1: lids})
    dug = [part for part in found.minutes_trace if "buried" in part.label]
    assert [(part.label, part.value) for part in dug] == [("Dig up 2 buried lids", 40)]


def test_two_systems_of_a_site_are_one_visit_and_told_apart():
    found = visit(owed("inspection"), owed("inspection", system_id=2))
    assert found.tasks == ("inspection",)
    assert len(found.obligation_ids) == 2
    assert [part.label for part in found.minutes_trace if part.label.startswith("Look")] == [
        "Look (A)",
        "Look (A): 1 × septic tank",
        "Look (B)",
        "Look (B): 1 × septic tank",
    ]
    assert "assumed" in found.minutes_trace[-1].source


def test_tools_are_named_once_and_licences_skills_and_people_joined():
    found = visit(owed("inspection"), owed("purge"), owed("pump-out"))
    assert found.tools == ("probe", "shovel", "tape")
    assert found.licences == ("maintenance", "pumper")
    assert found.skills == ("pressure",)
    assert found.people == 2


def test_water_to_bring_is_what_is_needed_less_what_the_site_has():
    found = visit(owed("inspection"), owed("purge"), water_available_gal=20.0)
    assert found.water_needed_gal == 1.5 + 5 + 4 * 7
    assert found.water_bring_gal == pytest.approx(found.water_needed_gal - 20)
    assert sum(part.value for part in found.water_trace) == found.water_bring_gal


def test_out_of_season_the_tap_of_a_vacation_house_does_not_count():
    season = {"season_from": "07-01", "season_to": "08-31"}
    found = visit(owed("inspection"), water_available_gal=500.0, **season)
    assert found.water_bring_gal == found.water_needed_gal
    assert found.windows == ()
    assert "open again on 2026-07-01" in found.closed_why


@given(st.floats(0, 1e4), st.one_of(st.none(), st.floats(-1e3, 1e5)), st.sampled_from(["", "no"]))
def test_water_to_bring_is_never_negative_and_never_more_than_needed(needed, available, why):
    bring = water_bring(Needs(needed, ()), available, why)
    assert 0 <= bring.total <= needed


WEEK = (ServiceWindow(0, 9 * 60, 11 * 60), ServiceWindow(2, 13 * 60, 17 * 60))


def test_hours_are_those_of_the_weekday():
    assert hours_on(MONDAY, WEEK, ()).windows == ((540, 660),)
    assert hours_on(MONDAY, (), ()).windows == ((0, 1440),)


def test_a_weekday_without_hours_is_closed_and_says_when_the_owner_opens():
    shut = hours_on(MONDAY + timedelta(days=1), WEEK, ())
    assert shut.windows == ()
    assert shut.closed_why == "The owner does not open on a Tuesday: Monday, Wednesday only."


def test_what_is_said_of_a_date_wins_over_weekday_and_season():
    opens = WindowException(MONDAY, 600, 700)
    assert hours_on(MONDAY, WEEK, (opens,), "07-01", "08-31").windows == ((600, 700),)
    shut = WindowException(MONDAY, note="wedding.")
    assert hours_on(MONDAY, (), (shut, opens)).closed_why == f"Closed on {MONDAY}: wedding."
    other = WindowException(MONDAY + timedelta(days=1))
    assert hours_on(MONDAY, (), (other,)).windows == ((0, 1440),)


def test_hours_that_overlap_are_joined_and_cut_to_the_day():
    twice = (ServiceWindow(0, 600, 700), ServiceWindow(0, 650, 1500), ServiceWindow(0, 30, 20))
    assert hours_on(MONDAY, twice, ()).windows == ((600, 1440),)


def test_worth_is_a_stop_and_the_harm_of_each_day_overdue():
    late = [owed("inspection", 10, grace_days=10), owed("purge", 2, grace_days=10)]
    worth = visit_worth(late, TASKS, MONDAY)
    assert worth.total == 1800 + 10 * 60 + 2 * 75
    assert worth.total == sum(part.value for part in worth.trace)


def test_beyond_its_grace_a_visit_is_worth_every_detour_that_a_shift_has_room_for():
    late = [owed("inspection", 10, grace_days=7), owed("purge", 2)]
    worth = visit_worth(late, TASKS, MONDAY)
    assert worth.total == 1800 + 10 * 60 + 2 * 75 + 36_000 + 3 * 400
    assert worth.total == sum(part.value for part in worth.trace)
    guess = visit_worth([owed("inspection", 1, estimated=True)], TASKS, MONDAY)
    assert guess.total == 1500 + (60 + 36_400) / 2


def test_before_the_due_date_a_visit_is_worth_less_and_an_estimate_harms_half():
    assert visit_worth([owed("inspection", -30)], TASKS, MONDAY).total == 1500 * 0.5
    late = visit_worth([owed("inspection", 10, estimated=True, grace_days=10)], TASKS, MONDAY)
    assert late.total == 1500 + 10 * 60 / 2


lists_of_owed = st.lists(
    st.builds(
        owed,
        st.sampled_from(["inspection", "purge", "pump-out"]),
        st.integers(-400, 800),
        st.integers(1, 3),
        estimated=st.booleans(),
        grace_days=st.integers(0, 30),
    ),
    min_size=1,
    max_size=5,
)


@given(lists_of_owed)
def test_one_more_day_never_lowers_the_worth(obligations):
    today = visit_worth(obligations, TASKS, MONDAY)
    tomorrow = visit_worth(obligations, TASKS, MONDAY + timedelta(days=1))
    assert tomorrow.total >= today.total > 0


@given(lists_of_owed)
def test_the_quick_worth_of_many_sites_is_the_worth_of_each(obligations):
    late = [
        (1, one.task, (MONDAY - one.due_on).days, one.estimated, one.grace_days)
        for one in obligations
    ]
    quick = worth_by_site(late, TASKS)
    assert quick[1] == pytest.approx(visit_worth(obligations, TASKS, MONDAY).total)


def technician(name: str, *licences: str, skills: tuple[str, ...] = ()) -> Technician:
    return Technician(
        name=name,
        initials=name[:2],
        skills=skills,
        licences=tuple(Licence(kind=kind) for kind in licences),
    )


def crew(*people: Technician) -> Crew:
    return Crew(people, TASKS, MONDAY)


def test_what_nobody_may_do_together_is_parted_and_the_rest_is_left():
    two = crew(technician("Looker", "maintenance"), technician("Pumper", "pumper"))
    found = visit(owed("inspection", 3), owed("pump-out", 2), crew=two)
    assert found.tasks == ("inspection",)
    assert found.minutes_trace[-1].label == "Pump-out: left for another visit"
    assert found.due_on == MONDAY - timedelta(days=3)
    both = crew(technician("Both", "maintenance", "pumper"))
    assert visit(owed("inspection"), owed("pump-out"), crew=both).tasks == (
        "inspection",
        "pump-out",
    )


def test_what_nobody_may_do_at_all_stays_whole_so_that_the_plan_says_who_lacks_what():
    nobody = crew(technician("New"))
    assert visit(owed("inspection"), owed("pump-out"), crew=nobody).licences == (
        "maintenance",
        "pumper",
    )


@pytest.mark.parametrize(
    ("licence", "counts"),
    [
        (Licence(kind="maintenance"), True),
        (Licence(kind="maintenance", valid_to=MONDAY), True),
        (Licence(kind="maintenance", valid_to=MONDAY - timedelta(days=1)), False),
        (Licence(kind="maintenance", valid_from=MONDAY + timedelta(days=1)), False),
        (Licence(kind="maintenance", jurisdiction="Here"), True),
        (Licence(kind="maintenance", jurisdiction="There"), False),
    ],
)
def test_a_licence_counts_on_its_days_and_in_its_jurisdiction(licence, counts):
    who = replace(technician("Who"), licences=(licence,))
    assert crew(who).may(frozenset({"inspection"}), "Here") is counts


def test_a_held_site_that_owes_nothing_gets_an_alarm_call():
    hold = Hold(site_id=1, on_date=MONDAY)
    found = visit(hold=hold)
    assert (found.tasks, found.service_min, found.hold) == (("alarm call",), 70, hold)
    assert found.due_on == MONDAY


def test_a_held_visit_to_what_was_found_is_its_follow_up_and_says_what_was_found():
    hold = Hold(site_id=1, on_date=MONDAY)
    alone = visit(hold=hold, follow_ups=("wet panel", "open or broken lid"))
    assert (alone.tasks, alone.service_min) == (("follow-up",), 55)
    assert alone.task_words == ("follow-up: wet panel, open or broken lid",)
    both = visit(owed(), hold=hold, follow_ups=("wet panel",))
    assert both.task_words == ("inspection", "follow-up: wet panel")
    assert both.service_min == visit(owed()).service_min + 45


def test_lids_on_file_count_before_tanks():
    tank = Component(kind=ComponentKind.SEPTIC_TANK, has_riser=False)
    lid = Component(kind=ComponentKind.LID, cover_in=8.0)
    riser = Component(kind=ComponentKind.LID, has_riser=True, cover_in=8.0)
    assert equipment("gravity", [tank]).buried_lids == 1
    assert equipment("gravity", [tank, lid, lid, riser]).buried_lids == 2
    assert equipment("gravity", [tank, riser]).buried_lids == 0
    assert equipment("mound", []).assumed
