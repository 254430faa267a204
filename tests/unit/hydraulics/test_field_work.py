"""Purge plans, what a squirt pattern fits, and which valve to turn."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.hydraulics import (
    Cause,
    States,
    balance,
    explain_squirt,
    open_share_of_loss,
    open_share_of_turns,
    purge_plan,
    purge_water,
    solve_network,
    valve_loss_factor,
)
from registry.units import IN_PER_FT
from tests.unit.hydraulics.fields import field, lateral

FOUND = (0.3, 0.5, 0.2, 0.4, 0.6, 1.0)
"""Open shares of valves that somebody left by feel."""


def squirts_in(network, states=None):
    flow = solve_network(network, states)
    return [float(one) for one in flow.far_head_ft[0] * IN_PER_FT], float(flow.pump_gpm[0])


def test_one_open_lateral_is_scoured_where_all_open_together_are_not():
    plan = purge_plan(field())
    assert all(one.is_scoured for one in plan.laterals)
    assert not all(one.is_scoured for one in plan.all_open)
    assert min(one.end_gpm for one in plan.laterals) > max(one.end_gpm for one in plan.all_open)


def test_a_purge_turns_the_laterals_volume_so_often_as_asked():
    plan = purge_plan(field(), pipe_volumes=3.0)
    for one in plan.laterals:
        assert one.end_gpm * one.seconds / 60 == pytest.approx(3 * one.pipe_gal)
        assert one.pumped_gal == pytest.approx(one.pump_gpm * one.seconds / 60)
        assert one.pump_gpm > one.end_gpm
    assert plan.pumped_gal == pytest.approx(sum(one.pumped_gal for one in plan.laterals))


def test_laterals_without_valves_squirt_while_one_is_purged():
    fixed = field(*(lateral(i, has_valve=False) for i in range(6)))
    assert purge_plan(fixed).laterals[0].end_gpm < purge_plan(field()).laterals[0].end_gpm
    left_open = purge_plan(field(), shuts_others=False)
    assert left_open.laterals[0].end_gpm < purge_plan(field()).laterals[0].end_gpm


def test_water_to_bring_is_what_the_pump_tank_lacks():
    plan = purge_plan(field())
    water = purge_water(plan, 40.0, 20.0, 1.5, hose_gpm=5.0)
    assert water.in_tank_gal == pytest.approx(30.0)
    assert water.missing_gal == pytest.approx(plan.pumped_gal - 30.0)
    assert water.hose_min == pytest.approx(water.missing_gal / 5.0)
    assert purge_water(plan, 60.0, 20.0, 20.0).missing_gal == 0
    assert purge_water(plan, 10.0, 20.0, 20.0).in_tank_gal == 0
    assert purge_water(plan, 40.0, 20.0, 1.5).hose_min is None


def test_a_purge_end_that_water_does_not_reach_has_no_time():
    plan = purge_plan(field(lateral(0, rise_ft=60.0), lateral(1)))
    assert plan.laterals[0].seconds is None
    assert plan.laterals[0].pumped_gal is None
    assert not plan.laterals[0].is_scoured
    assert plan.pumped_gal == plan.laterals[1].pumped_gal


@pytest.mark.parametrize(
    ("states", "cause", "label", "amount"),
    [
        (States(blocked_share=np.array([[0, 0, 0.3, 0, 0, 0]])), Cause.HOLES_BLOCKED, "3", 0.3),
        (States(blocked_share=np.full((1, 6), 0.4)), Cause.ALL_BLOCKED, "", 0.4),
        (
            States(open_share=np.array([[0.5, 0.5, 0.5, 0.5, 0.125, 0.5]])),
            Cause.FEED_SHUT,
            "5",
            0.25,
        ),
        (States(leak_share=np.array([[0, 0.5, 0, 0, 0, 0]])), Cause.LEAK, "2", 0.5),
        (States(head_share=np.array([0.8])), Cause.PUMP_WEAK, "", 0.8),
        (States(), Cause.AS_BUILT, "", 0.0),
    ],
)
def test_a_pattern_is_told_its_cause(states, cause, label, amount):
    heights, pump_gpm = squirts_in(field(), states)
    best = explain_squirt(field(), heights, pump_gpm=pump_gpm)[0]
    assert (best.cause, best.label) == (cause, label)
    assert best.amount_share == pytest.approx(amount)
    assert best.fits


def test_the_sentence_names_share_and_lateral():
    heights, _ = squirts_in(field(), States(blocked_share=np.array([[0, 0, 0.3, 0, 0, 0]])))
    best = explain_squirt(field(), [round(one) for one in heights])[0]
    assert best.said == "fits 30% of holes blocked in lateral 3"


def test_a_height_that_was_not_measured_is_left_out():
    heights, _ = squirts_in(field(), States(head_share=np.array([0.8])))
    told = explain_squirt(field(), [heights[0], None, None, None, None, heights[5]])
    assert any(one.cause is Cause.PUMP_WEAK and one.fits for one in told)
    with pytest.raises(RangeError, match="no squirt height"):
        explain_squirt(field(), [None] * 6)
    with pytest.raises(RangeError, match="5 squirt heights for 6 laterals"):
        explain_squirt(field(), heights[:5])


def turned(shares):
    return field(*(lateral(i, open_share=share) for i, share in enumerate(shares)))


def test_valves_turned_as_told_make_all_heights_the_same():
    found = turned(FOUND)
    heights, _ = squirts_in(found)
    told = balance(found, heights)
    after, _ = squirts_in(turned([one.open_to_share for one in told.valves]))
    assert after == pytest.approx([told.squirt_in] * 6, abs=0.1)
    assert max(heights) / min(heights) > 1.9
    by_quarters, _ = squirts_in(turned([one.open_share + one.turns / 5 for one in told.valves]))
    assert max(by_quarters) / min(by_quarters) < 1.1


def test_low_laterals_are_opened_and_the_words_say_how_far():
    found = turned(FOUND)
    told = {one.label: one for one in balance(found, squirts_in(found)[0]).valves}
    assert told["3"].turns > 0
    assert told["3"].said == f"open by about {told['3'].turns:g} turns"
    assert told["6"].open_to_share <= 1
    assert all(one.turns * 4 == round(one.turns * 4) for one in told.values())


def test_balancing_cancels_what_the_description_has_wrong():
    """The field is 20 ft longer from tank to manifold and its pump is worn; the file says not."""
    real = turned(FOUND)
    worn = replace(real, supply=replace(real.supply, length_ft=220.0))
    heights, _ = squirts_in(worn, States(head_share=np.array([0.93])))
    told = balance(turned(FOUND), heights)
    opened = np.array([[one.open_to_share for one in told.valves]])
    after, _ = squirts_in(worn, States(open_share=opened, head_share=np.array([0.93])))
    assert max(after) / min(after) < 1.1 < max(heights) / min(heights)


def test_a_field_without_valves_cannot_be_balanced():
    with pytest.raises(RangeError, match="lateral 2 has no valve"):
        balance(field(lateral(0), lateral(1, has_valve=False)), [40.0, 50.0])


@settings(max_examples=50)
@given(st.floats(0.01, 1.0))
def test_valve_loss_and_open_share_lead_back_to_each_other(share):
    assert float(open_share_of_loss(valve_loss_factor(share))) == pytest.approx(share)


def test_a_shut_valve_loses_all_and_turns_count_from_shut():
    assert np.isinf(valve_loss_factor(0.0))
    assert open_share_of_turns(1.25) == 0.25
    assert open_share_of_turns(3, full_turns=12) == 0.25
    with pytest.raises(RangeError, match="a valve of 5 turns has no more"):
        open_share_of_turns(6)
    with pytest.raises(RangeError, match="outside 0 to 1"):
        valve_loss_factor(1.2)
