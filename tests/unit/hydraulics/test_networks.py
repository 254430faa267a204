"""What must hold in every network: water is kept, flow grows with head, none runs uphill."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.hydraulics import (
    Lateral,
    Network,
    States,
    Supply,
    friction_loss_ft,
    network_evenness,
    orifice_flow_gpm,
    pump_curve,
    solve_laterals,
    solve_network,
    valve_loss_ft,
)
from tests.unit.hydraulics.fields import POINTS, field, lateral

few = settings(max_examples=60, deadline=None)


@st.composite
def networks(draw: st.DrawFn) -> Network:
    """Draw fields of one to five laterals, some too high for the pump, some shut."""
    laterals = tuple(
        Lateral(
            label=str(i),
            holes=draw(st.integers(1, 30)),
            pipe_in=draw(st.sampled_from([1.049, 1.380, 1.610])),
            spacing_ft=draw(st.floats(1.0, 5.0)),
            hole_in=draw(st.sampled_from([1 / 8, 3 / 16, 1 / 4])),
            lead_ft=draw(st.floats(0.0, 20.0)),
            tail_ft=draw(st.floats(0.0, 5.0)),
            at_ft=draw(st.floats(-30.0, 30.0)),
            raised_ft=draw(st.floats(-2.0, 25.0)),
            rise_ft=draw(st.floats(0.0, 4.0)),
            open_share=draw(st.sampled_from([0.0, 0.1, 0.4, 1.0])),
            blocked_share=draw(st.floats(0.0, 0.9)),
        )
        for i in range(draw(st.integers(1, 5)))
    )
    supply = Supply(
        pump=pump_curve(POINTS),
        lift_ft=draw(st.floats(-5.0, 35.0)),
        pipe_in=draw(st.sampled_from([1.610, 2.067])),
        length_ft=draw(st.floats(0.0, 300.0)),
    )
    return Network(supply=supply, manifold_in=2.067, laterals=laterals)


@few
@given(networks(), st.booleans())
def test_what_the_pump_gives_leaves_by_holes_and_open_ends(network, is_open):
    ends = np.full((1, len(network.laterals)), is_open)
    flow = solve_network(network, States(ends_open=ends))
    out = np.nansum(flow.hole_gpm) + flow.end_gpm.sum() + flow.leak_gpm.sum()
    assert flow.pump_gpm[0] == pytest.approx(out, abs=1e-9)
    assert flow.inlet_gpm.sum() == pytest.approx(out, abs=1e-9)


@few
@given(networks())
def test_heads_add_up_from_the_pump_to_every_lateral_with_flow(network):
    flow = solve_network(network)
    supply = network.supply
    lost = friction_loss_ft(
        float(flow.pump_gpm[0]), supply.pipe_in, supply.length_ft * supply.fittings_factor
    )
    assert float(flow.supply_loss_ft[0]) == pytest.approx(lost, abs=1e-5, rel=1e-4)
    for i, one in enumerate(network.laterals):
        if flow.inlet_gpm[0, i] < 1e-6:
            continue
        passed = float(flow.inlet_gpm[0, i])
        valve = valve_loss_ft(passed, one.pipe_in, one.open_share)
        assert flow.manifold_head_ft[0, i] - flow.inlet_head_ft[0, i] == pytest.approx(
            valve, abs=1e-6, rel=1e-6
        )


@few
@given(networks())
def test_no_hole_flows_uphill_and_a_lateral_above_the_head_is_dry(network):
    flow = solve_network(network)
    assert np.nanmin(flow.hole_gpm) >= 0
    assert np.nanmin(flow.hole_head_ft) >= 0
    for i, one in enumerate(network.laterals):
        if flow.manifold_head_ft[0, i] <= 0 or one.open_share == 0:
            assert flow.inlet_gpm[0, i] < 1e-6
        elif flow.manifold_head_ft[0, i] > 1e-3:
            assert flow.inlet_gpm[0, i] > 0 or one.blocked_share == 1


@few
@given(networks(), st.floats(0.5, 3.0))
def test_flow_grows_with_head(network, more_ft):
    lower = Supply(
        pump=network.supply.pump,
        lift_ft=network.supply.lift_ft - more_ft,
        pipe_in=network.supply.pipe_in,
        length_ft=network.supply.length_ft,
    )
    before = solve_network(network).pump_gpm[0]
    after = solve_network(
        Network(supply=lower, manifold_in=network.manifold_in, laterals=network.laterals)
    ).pump_gpm[0]
    assert after > before or after < 1e-6


@few
@given(networks())
def test_a_lateral_in_a_network_is_the_lateral_marched_alone(network):
    flow = solve_network(network)
    for i, one in enumerate(network.laterals):
        far_ft = float(flow.far_head_ft[0, i])
        if far_ft < 1e-3 or one.blocked_share:
            continue
        alone = solve_laterals(
            one.holes, one.pipe_in, far_ft, spacing_ft=one.spacing_ft, hole_in=one.hole_in
        )
        assert flow.hole_head_ft[0, i, : one.holes] == pytest.approx(alone.hole_head_ft, rel=1e-6)


def test_many_states_at_once_are_solved_as_one_by_one():
    network = field()
    blocked = np.array([[0.0] * 6, [0, 0, 0.3, 0, 0, 0], [0.2] * 6])
    heads = np.array([1.0, 0.8, 0.9])
    together = solve_network(network, States(blocked_share=blocked, head_share=heads))
    for k in range(3):
        alone = solve_network(
            network, States(blocked_share=blocked[k : k + 1], head_share=heads[k : k + 1])
        )
        assert together.far_head_ft[k] == pytest.approx(alone.far_head_ft[0])
        assert together.pump_gpm[k] == pytest.approx(alone.pump_gpm[0])


def test_laterals_alike_at_the_same_place_flow_alike():
    alike = [lateral(i, at_ft=0.0, raised_ft=0.0) for i in range(4)]
    flow = solve_network(field(*alike))
    assert np.ptp(flow.inlet_gpm) == pytest.approx(0.0, abs=1e-9)
    even = network_evenness(field(*alike), flow)
    assert even.squirt is not None
    assert even.squirt.flow_share == pytest.approx(0.0, abs=1e-9)
    assert even.squirt.is_even


def test_a_blocked_lateral_squirts_higher_and_takes_less():
    whole = solve_network(field())
    blocked = np.array([[0, 0, 0.3, 0, 0, 0]])
    clogged = solve_network(field(), States(blocked_share=blocked))
    assert clogged.far_head_ft[0, 2] > whole.far_head_ft[0, 2]
    assert clogged.inlet_gpm[0, 2] < whole.inlet_gpm[0, 2]
    assert clogged.pump_gpm[0] < whole.pump_gpm[0]


def test_a_half_shut_valve_lowers_its_own_lateral_and_raises_the_others():
    whole = solve_network(field())
    turned = solve_network(field(), States(open_share=np.array([[0.5, 0.5, 0.25, 0.5, 0.5, 0.5]])))
    change = (turned.far_head_ft - whole.far_head_ft)[0]
    assert change[2] < 0
    assert (np.delete(change, 2) > 0).all()


def test_a_purge_end_above_the_head_gives_no_water_and_holes_still_squirt():
    flow = solve_network(field(lateral(0, rise_ft=60.0)), States(ends_open=np.array([[True]])))
    capped = solve_network(field(lateral(0, rise_ft=60.0)))
    assert flow.end_gpm[0, 0] == 0
    assert flow.far_head_ft[0, 0] == pytest.approx(capped.far_head_ft[0, 0])


def test_a_pump_that_does_not_reach_the_field_gives_nothing():
    flow = solve_network(field(lift_ft=45.0))
    assert flow.pump_gpm[0] == pytest.approx(0.0, abs=1e-6)
    even = network_evenness(field(lift_ft=45.0), flow)
    assert even.whole is None
    assert set(even.along) == {None}


def test_each_hole_gives_what_the_orifice_formula_says():
    flow = solve_network(field())
    assert flow.hole_gpm[0, 0] == pytest.approx(orifice_flow_gpm(flow.hole_head_ft[0, 0], 1 / 8))


@pytest.mark.parametrize(
    ("make", "told"),
    [
        (lambda: lateral(0, holes=0), "lateral 1: holes is 0"),
        (lambda: lateral(0, open_share=1.5), "lateral 1: open_share is 1.5"),
        (lambda: lateral(2, rise_ft=-1.0), "lateral 3: rise_ft is -1"),
        (lambda: field(lateral(0), lateral(0)), "two laterals are called 1"),
        (lambda: pump_curve([(0, 40)]), "two points at least"),
        (lambda: pump_curve([(0, 40), (10, 41)]), "must not rise"),
        (lambda: pump_curve([(0, 40), (0, 30)]), "must rise from point to point"),
    ],
)
def test_a_field_that_cannot_be_is_refused_by_name(make, told):
    with pytest.raises(RangeError, match=told):
        make()


def test_a_lateral_fed_at_its_middle_is_as_even_with_twice_the_holes():
    """University of Minnesota's form: the counts may be doubled for a centre feed (verified)."""
    one = field(lateral(0, at_ft=0.0, raised_ft=0.0))
    halves = field(*(lateral(i, at_ft=0.0, raised_ft=0.0) for i in range(2)))
    far_ft = float(solve_network(halves).far_head_ft[0, 0])
    alone = solve_laterals(20, 1.049, far_ft)
    both = network_evenness(halves, solve_network(halves))
    assert both.whole is not None
    assert both.whole.flow_share == pytest.approx(float(alone.variation_share), rel=1e-9)
    assert one.laterals[0].holes * 2 == sum(half.holes for half in halves.laterals)
