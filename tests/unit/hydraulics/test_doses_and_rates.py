"""Verdicts in words on doses, rates and flows."""

import pytest

from registry import hydraulics as h
from registry.hydraulics.dosing import MOUND_PIPE_VOLUMES


def test_a_dose_within_the_rule_has_no_complaint():
    assert h.dose_complaints(90, 12, 450, MOUND_PIPE_VOLUMES) == ()


@pytest.mark.parametrize(
    ("dose_gal", "told"),
    [(50, "below the least dose of 60 gal"), (130, "above the greatest dose of 120 gal"),
     (115, "more than 25% of the design flow")],
)  # fmt: skip
def test_a_dose_outside_the_rule_is_told_why(dose_gal, told):
    assert any(told in line for line in h.dose_complaints(dose_gal, 12, 450, MOUND_PIPE_VOLUMES))


@pytest.mark.parametrize(
    ("now_gpm", "looked_at"), [(36.0, False), (31.0, False), (30.0, True), (42.0, True)]
)
def test_a_rate_that_moved_by_more_than_15_percent_is_looked_at(now_gpm, looked_at):
    assert h.rate_needs_a_look(now_gpm, 36.0) is looked_at


@pytest.mark.parametrize(
    ("flow_gpd", "use"),
    [(150, h.FlowUse.USUAL), (210, h.FlowUse.USUAL), (211, h.FlowUse.HIGH), (301, h.FlowUse.OVER)],
)
def test_use_goes_by_the_design_flow(flow_gpd, use):
    assert h.flow_use(flow_gpd, 300) is use


def test_a_timers_on_and_off_make_the_day():
    on_min, off_min = h.timer_min(75, 36.06, 6)
    assert 6 * (on_min + off_min) == pytest.approx(24 * 60)
