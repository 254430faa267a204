from datetime import date, timedelta

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from registry.due.columns import SystemColumns, records
from registry.due.obligations import History, obligations
from registry.due.terms import (
    NOTHING_OWN,
    OwnTerms,
    Profile,
    agreed_since,
    agreement_months,
    settle,
)
from registry.records.places import Agreement
from registry.records.systems import PermitCondition
from registry.records.work import IntervalRule, Obligation, TaskKind

TODAY = date(2026, 6, 15)
TASKS = {
    code: TaskKind(code=code, name=code, minutes=10) for code in ("inspection", "filter", "late")
}


def rule(
    code: str = "r", task: str = "inspection", months: int | None = 12, **more
) -> IntervalRule:
    return IntervalRule(
        **{"code": code, "task": task, "months": months, "status": "law", "citation": code} | more
    )


def owed(
    *rules: IntervalRule,
    last: date | None = date(2025, 3, 31),
    installed: date | None = None,
    kind: str = "gravity",
    components: frozenset[str] = frozenset(),
    own: OwnTerms = NOTHING_OWN,
    asked: date | None = None,
    agreed: dict[str, date] | None = None,
) -> dict[str, Obligation]:
    """What one system owes under some rules."""

    def days(day: date | None) -> np.ndarray:
        return np.array([day], dtype="datetime64[D]")

    one = np.array([1], dtype=np.int64)
    unknown = np.array([np.nan])
    systems = SystemColumns(
        system_id=one,
        site_id=one,
        firm_id=one,
        jurisdiction_id=one,
        profiles=[Profile(kind, components, frozenset({"Here", "SET"}))],
        installed_on=days(installed),
        tank_gal=unknown,
        people=unknown,
        bedrooms=unknown,
        occupied_share=np.array([1.0]),
        trigger=["MN"],
        own={1: own},
        agreed_from={task: days(day) for task, day in (agreed or {}).items()},
    )
    history = History({task: days(last) for task in TASKS}, {task: days(asked) for task in TASKS})
    blocks = obligations(systems, history, rules, TASKS, TODAY)
    return {found.task: found for found in records(systems, blocks)}


def due_on(*rules: IntervalRule, **more) -> date | None:
    return owed(*rules, **more)["inspection"].due_on


def test_the_strictest_binding_rule_sets_the_date():
    found = owed(rule("state", months=36), rule("county", months=24), rule("permit", months=30))
    assert (found["inspection"].rule_code, found["inspection"].due_on) == (
        "county",
        date(2027, 3, 31),
    )


def test_a_default_sets_the_date_only_where_nothing_binds():
    assert due_on(rule("house", months=12, status="default"), rule("law", months=36)) == date(
        2028, 3, 31
    )
    assert due_on(rule("house", months=12, status="default")) == date(2026, 3, 31)


def test_a_rule_counts_only_where_and_for_what_it_is_made():
    assert owed(rule(jurisdiction="Elsewhere")) == {}
    assert owed(rule(jurisdiction="SET"))
    assert owed(rule(system_kinds=("mound",))) == {}
    assert owed(rule(component_kinds=("effluent filter",))) == {}
    assert owed(
        rule(component_kinds=("effluent filter",)), components=frozenset({"effluent filter"})
    )


def test_a_date_each_year_and_an_interval_are_not_mixed():
    assert due_on(rule(months=None, yearly_by="06-30")) == date(2026, 6, 30)
    assert due_on(rule(months=12), rule("y", months=None, yearly_by="06-30")) == date(2026, 3, 31)


def test_a_season_brings_the_visit_forward_and_never_back():
    season = {"season_from": "05-01", "season_to": "09-30"}
    assert due_on(rule(**season), last=date(2025, 12, 10)) == date(2026, 9, 30)
    assert due_on(rule(**season), last=date(2025, 6, 10)) == date(2026, 6, 10)


def test_a_season_that_ended_before_the_last_visit_moves_nothing():
    season = {"season_from": "05-01", "season_to": "09-30"}
    assert due_on(rule(months=2, **season), last=date(2025, 10, 5)) == date(2025, 12, 5)


def test_a_waiver_sets_aside_the_law_and_not_another_permit_condition():
    waiver = PermitCondition(task="inspection", months=24, citation="Waiver 1", is_waiver=True)
    stricter = PermitCondition(task="inspection", months=18, citation="Permit 2")
    assert due_on(rule(months=12), own=OwnTerms((waiver,))) == date(2027, 3, 31)
    assert due_on(rule(months=12), own=OwnTerms((waiver, stricter))) == date(2026, 9, 30)


def test_a_waiver_rule_sets_aside_the_rule_that_it_names():
    found = owed(rule("law"), rule("loose", months=24, waives="law"))
    assert found["inspection"].rule_code == "loose"


def test_an_agreement_binds_the_tasks_it_includes():
    own = OwnTerms(agreements=((4.0, ("filter",)), (1.0, ())))
    found = owed(rule("filter-house", "filter", 12, status="default"), own=own)
    assert {task: (one.rule_code, one.due_on) for task, one in found.items()} == {
        "filter": ("agreement", date(2025, 6, 30)),
        "inspection": ("agreement", date(2026, 3, 31)),
    }


def test_an_agreement_never_means_fewer_visits_than_it_says():
    assert [agreement_months(n) for n in (1, 2, 3, 4, 5, 24, 1 / 3)] == [12, 6, 4, 3, 2, 1, 36]


ONE_FILTER = OwnTerms(agreements=((1.0, ("filter",)),))


def test_what_an_agreement_promises_counts_from_the_later_of_its_first_day_and_installation():
    def filter_of(installed: date | None, agreed: date) -> tuple[date | None, date | None]:
        found = owed(last=None, installed=installed, own=ONE_FILTER, agreed={"filter": agreed})
        return found["filter"].counted_from, found["filter"].due_on

    assert filter_of(date(1987, 5, 4), date(2026, 2, 28)) == (date(2026, 2, 28), date(2027, 2, 28))
    assert filter_of(date(2026, 4, 1), date(2026, 2, 28)) == (date(2026, 4, 1), date(2027, 4, 1))
    assert filter_of(None, date(2026, 2, 28)) == (date(2026, 2, 28), date(2027, 2, 28))


def test_a_visit_on_record_counts_before_the_first_day_of_an_agreement():
    found = owed(last=date(2025, 3, 31), own=ONE_FILTER, agreed={"filter": date(2026, 2, 28)})
    assert found["filter"].due_on == date(2026, 3, 31)


def test_an_agreement_puts_no_law_off():
    own = OwnTerms(agreements=((1.0, ()),))
    long_ago = {"last": None, "own": own, "agreed": {"inspection": date(2026, 1, 1)}}
    found = owed(rule("law", months=36), installed=date(2000, 1, 1), **long_ago)["inspection"]
    assert (found.rule_code, found.counted_from, found.due_on) == (
        "law",
        date(2000, 1, 1),
        date(2003, 1, 1),
    )
    assert owed(rule("law", months=36), **long_ago)["inspection"].due_on == TODAY


def test_systems_promised_from_other_days_stay_in_one_block():
    n = 50
    days = np.datetime64("2026-01-01") + np.arange(n, dtype="timedelta64[D]")
    ids = np.arange(1, n + 1)
    systems = SystemColumns(
        system_id=ids,
        site_id=ids,
        firm_id=ids,
        jurisdiction_id=ids,
        profiles=[Profile("gravity", frozenset(), frozenset())] * n,
        installed_on=np.full(n, np.datetime64("1990-01-01")),
        tank_gal=np.full(n, np.nan),
        people=np.full(n, np.nan),
        bedrooms=np.full(n, np.nan),
        occupied_share=np.ones(n),
        trigger=[""] * n,
        own=dict.fromkeys(ids.tolist(), ONE_FILTER),
        agreed_from={"filter": days},
    )
    (block,) = obligations(systems, History({}, {}), [], TASKS, TODAY)
    assert list(block.due_on) == list(days + np.timedelta64(365, "D"))


def test_the_reason_says_that_an_agreement_counts_from_its_first_day():
    found = owed(
        last=None, installed=TODAY, own=ONE_FILTER, agreed={"filter": TODAY + timedelta(1)}
    )
    assert found["filter"].reason == (
        "Every 12 months by Service agreement, 1 visit a year (agreement); no visit is on record, "
        "so counted from the first day of the agreement."
    )


FILTER_RULE = rule("house", "filter", status="default", component_kinds=("effluent filter",))


def test_an_agreement_promises_nothing_for_a_part_that_is_known_to_be_absent():
    tank, filter_too = frozenset({"septic tank"}), frozenset({"septic tank", "effluent filter"})
    assert "filter" not in owed(FILTER_RULE, own=ONE_FILTER, components=tank)
    assert "filter" in owed(FILTER_RULE, own=ONE_FILTER, components=filter_too)
    assert "filter" in owed(FILTER_RULE, own=ONE_FILTER)  # no part on file: nothing is known


def test_a_task_that_a_rule_or_permit_asks_for_anyway_needs_no_part_on_file():
    tank = frozenset({"septic tank"})
    by_kind = rule("law", "filter", months=24, system_kinds=("gravity",))
    found = owed(FILTER_RULE, by_kind, own=ONE_FILTER, components=tank)["filter"]
    assert (found.rule_code, found.due_on) == ("agreement", date(2026, 3, 31))
    permit = PermitCondition(task="filter", months=6, citation="Permit 4")
    own = OwnTerms((permit,), ONE_FILTER.agreements)
    found = owed(FILTER_RULE, own=own, components=tank)["filter"]
    assert (found.rule_code, found.due_on) == ("permit condition", date(2025, 9, 30))


def agreement(starts: date, ends: date | None, *includes: str) -> Agreement:
    return Agreement(
        site_id=1, firm_id=1, starts_on=starts, ends_on=ends, visits_a_year=1, includes=includes
    )


def test_an_agreement_that_is_renewed_without_a_break_goes_on_from_its_first_day():
    first = agreement(date(2023, 4, 1), date(2024, 3, 31), "filter")
    second = agreement(date(2024, 4, 1), date(2026, 3, 31), "filter", "parts")
    third = agreement(date(2026, 4, 1), None, "filter")
    assert agreed_since((first, second, third), TODAY, TASKS) == {"filter": date(2023, 4, 1)}
    assert agreed_since((first, third), TODAY, TASKS) == {"filter": date(2026, 4, 1)}
    assert agreed_since((first, second), TODAY, TASKS) == {}


def test_an_agreement_that_names_no_task_promises_the_inspection():
    future = agreement(TODAY + timedelta(1), None, "filter")
    assert agreed_since((agreement(TODAY, None), future), TODAY, TASKS) == {"inspection": TODAY}


def test_a_task_without_any_date_stays_due_from_when_it_was_first_asked_for():
    assert due_on(rule(), last=None) == TODAY
    assert due_on(rule(), last=None, asked=date(2026, 2, 1)) == date(2026, 2, 1)


def test_the_reason_names_rule_status_and_what_it_counts_from():
    assert owed(rule("Code 1.2", months=1))["inspection"].reason == (
        "Every month by Code 1.2 (law); counted from the last visit."
    )
    assert "day of installation" in owed(rule(), last=None, installed=TODAY)["inspection"].reason


rules_drawn = st.builds(
    rule,
    st.uuids().map(str),
    months=st.integers(1, 60),
    season_from=st.just(""),
    status=st.sampled_from(["law", "permit", "agreement"]),
)
days_drawn = st.dates(date(2000, 1, 1), date(2026, 6, 15))


@given(st.lists(rules_drawn, min_size=1, max_size=4), rules_drawn, days_drawn)
def test_one_more_binding_rule_never_gives_a_later_date(rules, more, last):
    assert due_on(*rules, more, last=last) <= due_on(*rules, last=last)


@given(
    st.integers(1, 59),
    st.sampled_from([("", ""), ("05-01", "09-30"), ("11-01", "03-31"), ("02-29", "02-29")]),
    days_drawn,
)
def test_a_stricter_rule_never_gives_a_later_date(months, season, last):
    more = {"season_from": season[0], "season_to": season[1]}
    assert due_on(rule(months=months, **more), last=last) <= due_on(
        rule(months=months + 1, **more), last=last
    )


@given(st.integers(1, 60), days_drawn, st.integers(1, 400))
def test_a_later_visit_never_brings_the_date_forward(months, last, later):
    assert due_on(rule(months=months), last=last) <= due_on(
        rule(months=months), last=last + timedelta(days=later)
    )


def test_what_was_set_aside_says_why():
    profile = Profile("gravity", frozenset(), frozenset())
    settled = settle([rule("law"), rule("house", status="default")], profile)["inspection"]
    assert [(one.code, why) for one, why in settled.aside] == [
        ("house", "a house default stands only where nothing binds")
    ]
