"""Pump curve, network, trends and their ranges against SciPy and `fluids`, which are not ours.

The network is put to SciPy's root finder from the pump down, written out here from the published
formulas alone: Hazen-Williams in ft and ft³/s (from memory; any hydraulics text), Torricelli with
g = 32.174, one velocity head lost at an open end (outlet loss 1.0, handbook table read in a copy).
"""

from datetime import date, timedelta

import numpy as np
import pytest
from fluids.fittings import exit_normal
from fluids.flow_meter import flow_meter_discharge
from scipy import stats
from scipy.interpolate import PchipInterpolator
from scipy.optimize import root

from registry.hydraulics import (
    Lateral,
    Network,
    States,
    Supply,
    forecast,
    pump_curve,
    solve_network,
    trend,
    valve_loss_factor,
)
from registry.hydraulics.network_arrays import UNIT_CONSTANT
from registry.hydraulics.trend import STUDENT_90
from registry.hydraulics.valve import GATE_LOSS, OTHER_GATE_LOSS
from registry.units import GRAVITY_FT_S2, L_PER_GAL, M_PER_FT

POINTS = [(0.0, 38.0), (12.0, 36.0), (30.0, 31.5), (44.0, 24.0), (60.0, 9.0)]
GPM_PER_CFS = 448.831


def test_the_pump_curve_is_scipys_monotone_cubic():
    flow = np.linspace(0, 60, 241)
    ours, slope = pump_curve(POINTS).head_and_slope(flow)
    theirs = PchipInterpolator(*zip(*POINTS, strict=True))
    assert ours == pytest.approx(theirs(flow), abs=1e-10)
    assert slope == pytest.approx(theirs.derivative()(flow), abs=1e-10)


@pytest.mark.parametrize("points", [POINTS[:2], POINTS[:3], [(0, 20), (10, 20), (30, 5)]])
def test_short_and_flat_curves_are_scipys_too(points):
    flow = np.linspace(0, points[-1][0], 50)
    theirs = PchipInterpolator(*zip(*points, strict=True))(flow)
    assert pump_curve(points).head_ft(flow) == pytest.approx(theirs, abs=1e-10)


def lost_ft(flow_gpm, length_ft, diameter_in, c=150.0):
    """Hazen-Williams, ft and ft³/s."""
    return (
        4.727
        * length_ft
        * (flow_gpm / GPM_PER_CFS) ** 1.852
        / (c**1.852 * (diameter_in / 12) ** 4.871)
    )


def behind_ft(flow_gpm, diameter_in, discharge):
    """Head behind an opening's flow by Torricelli; below zero for a flow that goes in."""
    area_ft2 = np.pi / 4 * (diameter_in / 12) ** 2
    speed_ft_s = flow_gpm / GPM_PER_CFS / (discharge * area_ft2)
    return speed_ft_s * abs(speed_ft_s) / (2 * GRAVITY_FT_S2)


def left_over_ft(outs_gpm):
    """Return the head left over at three holes of lateral a, three of b, and b's open end.

    Each head is worked out from the pump down: lift 8 ft, 100 ft of 2 in pipe with fittings, then
    lateral a; 6 ft of manifold, then lateral b; each an open gate valve, 4 ft of pipe, holes 5 ft
    apart, and 3 ft from b's last hole to its end, which stands 0.75 ft over the lateral.
    """
    a, b, end = outs_gpm[:3], outs_gpm[3:6], outs_gpm[6]
    into_a, into_b = a.sum(), b.sum() + end
    pump = PchipInterpolator(*zip(*POINTS, strict=True))(into_a + into_b)
    at_a = pump - 8.0 - lost_ft(into_a + into_b, 125.0, 2.067)
    at_b = at_a - lost_ft(into_b, 6.0, 2.067)
    left = []
    for given, holes, tail in ((at_a, a, 0.0), (at_b, b, end)):
        flow = holes.sum() + tail
        head = given - 0.17 * behind_ft(flow, 1.380, 1.0) - lost_ft(flow, 4.0, 1.380)
        for hole in holes:
            left.append(head - behind_ft(hole, 3 / 16, 0.6004))
            flow -= hole
            head -= lost_ft(max(flow, 0.0), 5.0, 1.380)
    head_last = left[5] + behind_ft(b[2], 3 / 16, 0.6004)
    left.append(head_last - lost_ft(end, 3.0, 1.380) - 0.75 - behind_ft(end, 1.380, 1.0))
    return left


@pytest.mark.parametrize("is_open", [False, True])
def test_a_network_balances_as_scipys_root_finder_balances_it(is_open):
    def one(label, at_ft):
        return Lateral(
            label=label, holes=3, pipe_in=1.380, spacing_ft=5.0, hole_in=3 / 16, lead_ft=4.0,
            tail_ft=3.0, at_ft=at_ft, rise_ft=0.75,
        )  # fmt: skip

    network = Network(
        supply=Supply(pump=pump_curve(POINTS), lift_ft=8.0, pipe_in=2.067, length_ft=100.0),
        manifold_in=2.067,
        laterals=(one("a", 0.0), one("b", 6.0)),
    )
    flow = solve_network(network, States(ends_open=np.array([[False, is_open]])))
    a, b = flow.hole_gpm[0][:, ::-1]
    if is_open:
        theirs = root(left_over_ft, np.array([2.0] * 6 + [20.0]), tol=1e-10)
        assert theirs.success
        assert [*a, *b, flow.end_gpm[0, 1]] == pytest.approx(theirs.x, rel=5e-4)
    else:
        theirs = root(lambda q: left_over_ft(np.append(q, 0.0))[:6], np.full(6, 2.0), tol=1e-10)
        assert theirs.success
        assert [*a, *b] == pytest.approx(theirs.x, rel=5e-4)


def test_an_open_end_loses_one_velocity_head_as_in_fluids():
    """K = 1.0 by `fluids.fittings.exit_normal`; our end is an opening with a coefficient of 1."""
    assert exit_normal() == 1.0
    head_m = 1.0 * M_PER_FT
    mass_kg_s = flow_meter_discharge(
        D=100.0, Do=1.380 * M_PER_FT / 12, P1=1000 * 32.174 * M_PER_FT * head_m, P2=0.0,
        rho=1000.0, C=1.0,
    )  # fmt: skip
    gpm = mass_kg_s / L_PER_GAL * 60
    assert pytest.approx(gpm, rel=1e-4) == UNIT_CONSTANT * 1.380**2


@pytest.mark.parametrize(("share", "factor"), GATE_LOSS)
def test_a_gate_valve_loses_what_the_handbook_prints(share, factor):
    """Status: read in a copy of a handbook's table of additional frictional loss."""
    assert float(valve_loss_factor(share)) == pytest.approx(factor)


def test_published_tables_of_gate_valves_differ_by_up_to_three_and_a_half_times():
    """Status: both read in copies; that is why a computed turn is measured again."""
    ratios = [one / other for (_, one), (_, other) in zip(GATE_LOSS, OTHER_GATE_LOSS, strict=True)]
    assert min(ratios) > 1.0
    assert max(ratios) == pytest.approx(0.9 / 0.26)


def test_students_t_is_scipys():
    assert pytest.approx(stats.t.ppf(0.95, np.arange(1, 31)), abs=5e-4) == STUDENT_90


def test_line_and_band_are_scipys_regression():
    rng = np.random.default_rng(7)
    dates = [date(2018, 3, 1) + timedelta(days=int(d)) for d in (0, 200, 410, 800, 1300, 1900)]
    years = np.array([(one - dates[0]).days / 365.25 for one in dates])
    values = 0.02 + 0.05 * years + rng.normal(0, 0.01, 6)
    ours, theirs = trend(dates, values), stats.linregress(years, values)
    assert ours.per_year == pytest.approx(theirs.slope)
    assert ours.value == pytest.approx(theirs.intercept)
    on_date, x = date(2025, 1, 1), (date(2025, 1, 1) - dates[0]).days / 365.25
    left = values - theirs.intercept - theirs.slope * years
    spread = np.sqrt((left**2).sum() / 4)
    square = ((years - years.mean()) ** 2).sum()
    half = stats.t.ppf(0.95, 4) * spread * np.sqrt(1 + 1 / 6 + (x - years.mean()) ** 2 / square)
    middle = theirs.intercept + theirs.slope * x
    assert ours.band(on_date) == pytest.approx((middle - half, middle + half), rel=1e-4)
    ahead = forecast(ours, 0.4, dates[-1])
    assert ahead.earliest < ahead.reached_on < ahead.latest
    assert ours.at(ahead.reached_on) == pytest.approx(0.4, abs=2e-4)
