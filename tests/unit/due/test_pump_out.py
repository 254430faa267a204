from dataclasses import replace
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.due.lateness import days_overdue, is_overdue, share_passed
from registry.due.pump_out_date import Tank, pump_out_due
from registry.due.pump_out_triggers import (
    GREASE,
    LIQUID_DEPTH,
    PUMP_TANK_SLUDGE,
    SCUM,
    SCUM_TO_OUTLET,
    SCUM_TO_TEE_TOP,
    SLUDGE,
    SLUDGE_TO_OUTLET,
    TANK_FULL,
    TRIGGERS,
    pump_out_verdict,
)

EMPTIED = date(2023, 5, 1)
HOME = Tank(tank_gal=1000.0, people=4.0)


def measured(share: float) -> dict[str, float]:
    return {LIQUID_DEPTH: 40.0, SLUDGE: 30 * share, SCUM: 10 * share}


def test_without_a_reading_the_table_is_an_estimate_from_the_last_pump_out():
    found = pump_out_due(HOME, EMPTIED, None, {})
    assert found.due_on == EMPTIED + timedelta(days=round(2.6 * 365.25))
    assert found.estimated
    assert "table after Mancl 1984" in found.why


def test_half_a_year_of_use_doubles_the_estimate():
    """Common practice, no source: the table holds for use all year round."""
    whole = pump_out_due(HOME, EMPTIED, None, {}).due_on - EMPTIED
    half = pump_out_due(replace(HOME, occupied_share=0.5), EMPTIED, None, {}).due_on - EMPTIED
    assert half.days == pytest.approx(2 * whole.days, abs=1)


def test_bedrooms_stand_for_people_who_are_not_on_file():
    found = pump_out_due(Tank(tank_gal=1000.0, bedrooms=4.0), EMPTIED, None, {})
    assert found.due_on == pump_out_due(HOME, EMPTIED, None, {}).due_on
    assert "one for each bedroom" in found.why


@pytest.mark.parametrize(
    ("tank", "emptied_on", "missing"),
    [
        (replace(HOME, tank_gal=None), EMPTIED, "the tank's size is not on file"),
        (replace(HOME, tank_gal=9000.0), EMPTIED, "does not reach to 9,000 gal"),
        (replace(HOME, people=None), EMPTIED, "neither people nor bedrooms"),
        (replace(HOME, people=40.0), EMPTIED, "does not reach to 40 people"),
        (replace(HOME, occupied_share=0.0), EMPTIED, "nobody lives there"),
        (HOME, None, "neither a pump-out nor the day of installation"),
    ],
)
def test_what_is_missing_for_an_estimate_is_said(tank, emptied_on, missing):
    found = pump_out_due(tank, emptied_on, None, {})
    assert found.due_on is None
    assert missing in found.why


def test_a_reading_over_the_limit_is_due_on_the_day_it_was_read_and_no_estimate():
    read_on = date(2024, 5, 1)
    found = pump_out_due(HOME, EMPTIED, read_on, measured(0.3))
    assert (found.due_on, found.estimated) == (read_on, False)


def test_a_share_below_the_limit_is_carried_on_at_its_own_rate():
    read_on = EMPTIED + timedelta(days=300)
    found = pump_out_due(HOME, EMPTIED, read_on, measured(0.10))
    assert found.due_on == EMPTIED + timedelta(days=750)
    assert found.estimated


def test_clearances_alone_give_a_year_at_least_before_measuring_again():
    ample = {SLUDGE_TO_OUTLET: 20.0, SCUM_TO_OUTLET: 9.0, SCUM_TO_TEE_TOP: 5.0}
    late = date(2026, 1, 31)
    found = pump_out_due(replace(HOME, trigger="MA"), EMPTIED, late, ample)
    assert (found.due_on, found.estimated) == (date(2027, 1, 31), True)


def test_readings_that_cannot_say_leave_the_estimate_in_force():
    found = pump_out_due(HOME, EMPTIED, date(2024, 5, 1), {SLUDGE_TO_OUTLET: 20.0})
    assert found.due_on == pump_out_due(HOME, EMPTIED, None, {}).due_on


@given(st.floats(0.01, 0.24), st.floats(0.0, 0.5), st.integers(1, 4000))
def test_more_solids_never_put_the_pump_out_off(share, more, days):
    read_on = EMPTIED + timedelta(days=days)
    less_solid = pump_out_due(HOME, EMPTIED, read_on, measured(share))
    more_solid = pump_out_due(HOME, EMPTIED, read_on, measured(share + more))
    assert more_solid.due_on <= less_solid.due_on


@pytest.mark.parametrize(
    ("readings", "pump"),
    [
        ({PUMP_TANK_SLUDGE: 4.8}, True),  # common practice: 0.4 ft in a clear well
        ({TANK_FULL: 75.0}, True),  # Minn. R. 7080.2290: a holding tank's alarm
        ({GREASE: 10.0, LIQUID_DEPTH: 40.0}, True),  # 310 CMR 15.351 (2): a quarter of the depth
        ({PUMP_TANK_SLUDGE: 4.0}, None),
        ({TANK_FULL: 74.0}, None),
        ({GREASE: 9.0, LIQUID_DEPTH: 40.0}, None),
        ({SCUM_TO_TEE_TOP: 2.0}, None),  # only Massachusetts has this trigger
        ({}, None),
    ],
)
def test_other_tanks_have_triggers_of_their_own(readings, pump):
    assert pump_out_verdict(readings, "MN").pump is pump


def test_the_limits_themselves_count_as_each_text_says():
    """“Within 12 in” holds the 12 in; Minnesota's “less than 3 in” does not hold the 3 in."""
    at_limit = {SLUDGE_TO_OUTLET: 30.0, SCUM_TO_OUTLET: 3.0}
    assert pump_out_verdict(at_limit, "MN").pump is False
    assert pump_out_verdict({SLUDGE_TO_OUTLET: 12.0}, "MN").pump is True
    assert pump_out_verdict({SCUM_TO_OUTLET: 2.0}, "MA").pump is True
    assert pump_out_verdict({SCUM_TO_TEE_TOP: 2.0}, "MA").pump is True


@pytest.mark.parametrize("code", [*TRIGGERS, " mn ", "nowhere"])
def test_a_verdict_says_by_which_text(code):
    verdict = pump_out_verdict(measured(0.5), code)
    assert verdict.citation in verdict.why
    assert (verdict.pump is True) is (code != "MA")


def test_lateness_counts_from_the_due_date_and_grace_from_there():
    due_on = date(2026, 6, 1)
    assert days_overdue(due_on, date(2026, 6, 15)) == 14
    assert is_overdue(due_on, date(2026, 6, 15))
    assert not is_overdue(due_on, date(2026, 6, 15), grace_days=14)
    assert not is_overdue(due_on, due_on)
    assert not is_overdue(None, due_on)


def test_the_share_of_an_interval_is_1_on_the_due_date_and_goes_on():
    since, due_on = date(2025, 6, 1), date(2026, 6, 1)
    assert share_passed(since, due_on, since) == 0
    assert share_passed(since, due_on, due_on) == 1
    assert share_passed(since, due_on, date(2027, 6, 1)) == 2
    assert share_passed(since, due_on, date(2025, 1, 1)) == 0
    assert share_passed(since, None, due_on) is None
    assert share_passed(None, due_on, date(2027, 6, 1)) == 2
