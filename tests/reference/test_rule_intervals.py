"""The shipped rules, triggers and month arithmetic against what the published rules say."""

from datetime import date
from importlib.resources import files

import pytest

from registry.due import add_months
from registry.due.pump_out_triggers import (
    LIQUID_DEPTH,
    SCUM,
    SCUM_TO_OUTLET,
    SLUDGE,
    SLUDGE_TO_OUTLET,
    pump_out_verdict,
    solids_share,
)
from registry.due.rules_file import read_rules
from registry.due.terms import Profile, places_of, settle

SHIPPED = read_rules(
    files("registry.due").joinpath("defaults.toml").read_text("utf-8"), "defaults.toml"
)


@pytest.mark.parametrize(
    ("day", "months", "later"),
    [
        ("2024-02-29", 12, "2025-02-28"),
        ("2024-08-31", 6, "2025-02-28"),
        ("2023-10-31", 4, "2024-02-29"),
        ("2023-05-15", 36, "2026-05-15"),
    ],
)
def test_months_are_calendar_months_clamped_to_the_months_end(day, months, later):
    """Common practice, no source: the four cases by which the trade's due dates are told apart."""
    assert add_months(date.fromisoformat(day), months) == date.fromisoformat(later)


def interval(rule_set: str, kind: str, task: str) -> tuple[str, int | None]:
    profile = Profile(kind, frozenset(), places_of("Some County", rule_set, ""))
    rule = settle(SHIPPED.rules.values(), profile)[task].setting[0]
    return rule.citation, rule.months


@pytest.mark.parametrize(
    ("rule_set", "kind", "task", "citation", "months"),
    [
        # read in the code's text before the 2024–25 revision
        ("WA", "gravity", "inspection", "WAC 246-272A-0270 (1)(d)(i)", 36),
        ("WA", "mound", "inspection", "WAC 246-272A-0270 (1)(d)(ii)", 12),
        ("WA", "pump to gravity", "inspection", "WAC 246-272A-0270 (1)(d)(ii)", 12),
        ("WA-CLARK", "gravity", "inspection", "Clark County Code 24.17.180", 36),
        ("WA-CLARK", "pressure distribution", "inspection", "Clark County Code 24.17.180", 12),
        ("MN", "mound", "inspection", "Minn. R. 7080.2450", 36),
        ("TX", "secondary treatment", "treatment check", "30 TAC 285.91(4) table IV", 4),
        ("NC", "pump to gravity", "inspection", "15A NCAC 18E .1301 table XXXII, type IIIb", 60),
        # the operator's frequency is from memory, not read
        (
            "NC",
            "pressure distribution",
            "inspection",
            "15A NCAC 18E .1301 table XXXII, type IVa",
            6,
        ),
    ],
)
def test_a_rule_set_gives_the_interval_that_its_code_prints(rule_set, kind, task, citation, months):
    assert interval(rule_set, kind, task) == (citation, months)


def test_of_state_and_county_the_stricter_sets_the_date():
    citation, months = interval("WA, WA-CLARK", "mound", "inspection")
    assert months == 12
    assert citation in {"Clark County Code 24.17.180", "WAC 246-272A-0270 (1)(d)(ii)"}


def test_gravity_systems_in_north_carolina_fall_back_on_the_house_default():
    """15A NCAC 18E .1301 table XXXII sets no interval for gravity systems."""
    citation, months = interval("NC", "gravity", "inspection")
    assert months == 36
    assert citation.startswith("House default")


def test_every_rule_of_a_state_cites_its_text_and_asks_to_be_checked():
    for rule in SHIPPED.rules.values():
        assert rule.citation
        if rule.jurisdiction and rule.status != "default":
            assert "echeck" in rule.note, rule.code


def test_every_task_says_where_its_figures_come_from():
    assert all("ommon practice" in task.source for task in SHIPPED.tasks.values())


SLUDGE_NEAR = {SLUDGE_TO_OUTLET: 10.0, SCUM_TO_OUTLET: 8.0}
SCUM_NEAR = {SLUDGE_TO_OUTLET: 20.0, SCUM_TO_OUTLET: 4.0}
QUARTER_FULL = {LIQUID_DEPTH: 48.0, SLUDGE: 9.0, SCUM: 3.0}


@pytest.mark.parametrize("code", ["MN", "MA", "EPA"])
def test_sludge_within_12_inches_of_the_outlet_calls_for_a_pump_out(code):
    """Minn. R. 7080.2450 subp. 3; 310 CMR 15.351; county restatements of the US EPA's guidance."""
    assert pump_out_verdict(SLUDGE_NEAR, code).pump


def test_scum_4_inches_above_the_outlet_is_too_near_for_one_authority_and_not_for_two():
    """EPA guidance: within 6 in; Minnesota: less than 3 in; Massachusetts: within 2 in."""
    verdicts = {code: pump_out_verdict(SCUM_NEAR, code).pump for code in ("EPA", "MN", "MA")}
    assert verdicts == {"EPA": True, "MN": False, "MA": False}


def test_a_quarter_of_the_depth_is_at_the_limit_and_under_wisconsins_third():
    assert solids_share(QUARTER_FULL) == pytest.approx(0.25)
    for code in ("MN", "EPA", "WI"):
        assert pump_out_verdict(QUARTER_FULL, code).pump is False
    more = QUARTER_FULL | {SLUDGE: 9.5}
    assert [pump_out_verdict(more, code).pump for code in ("MN", "EPA", "WI")] == [
        True,
        True,
        False,
    ]
    assert pump_out_verdict(QUARTER_FULL | {SLUDGE: 13.5}, "WI").pump
