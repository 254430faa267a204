"""The open-source library `fluids` as an independent calculation of orifice flow and pipe friction.

The orifice is that library's flow meter in a pipe so wide that it discharges freely. Friction is
set against Darcy-Weisbach with Colebrook's friction factor for smooth pipe, which rests on other
physics. Hazen-Williams with C = 150 is a fit for plastic pipe that reads up to 8 % low in small
pipes at small flows, so the two only have to lie within 10 %.
"""

import fluids
import pytest
from fluids.flow_meter import flow_meter_discharge

from registry.hydraulics import friction_loss_ft, inside_diameter_in, orifice_flow_gpm, speed_ft_s
from registry.units import GRAVITY_FT_S2, L_PER_GAL, M_PER_FT

GRAVITY_M_S2 = GRAVITY_FT_S2 * M_PER_FT
M_PER_IN = M_PER_FT / 12
GPM_PER_M3_S = 1000 / L_PER_GAL * 60
WATER_KG_M3 = 998.2
WATER_M2_S = 1.004e-6
"""Kinematic viscosity of water at 20 °C."""


@pytest.mark.parametrize("head_ft", [0.5, 1.0, 2.5, 5.0, 10.0])
@pytest.mark.parametrize("hole_in", [1 / 8, 3 / 16, 1 / 4, 1 / 2])
def test_orifice_flow_is_that_of_a_meter_in_a_very_wide_pipe(head_ft, hole_in):
    pressure_pa = WATER_KG_M3 * GRAVITY_M_S2 * head_ft * M_PER_FT
    mass_kg_s = flow_meter_discharge(
        D=10.0, Do=hole_in * M_PER_IN, P1=pressure_pa, P2=0.0, rho=WATER_KG_M3, C=0.6004
    )
    flow_gpm = mass_kg_s / WATER_KG_M3 * GPM_PER_M3_S
    assert orifice_flow_gpm(head_ft, hole_in) == pytest.approx(flow_gpm, rel=1e-4)


@pytest.mark.parametrize(
    ("nominal_in", "flow_gpm"),
    [(1.0, 6), (1.0, 12), (1.25, 10), (1.25, 20), (1.5, 14), (1.5, 30), (2.0, 25), (2.0, 50)],
)
def test_friction_lies_near_colebrooks_for_smooth_pipe(nominal_in, flow_gpm):
    diameter_in = inside_diameter_in(nominal_in)
    diameter_m = diameter_in * M_PER_IN
    speed_m_s = speed_ft_s(flow_gpm, diameter_in) * M_PER_FT
    reynolds = fluids.Reynolds(V=speed_m_s, D=diameter_m, nu=WATER_M2_S)
    factor = fluids.friction_factor(Re=reynolds, eD=1.5e-6 / diameter_m)
    loss_m = factor * (100 * M_PER_FT / diameter_m) * speed_m_s**2 / (2 * GRAVITY_M_S2)
    loss_ft = friction_loss_ft(flow_gpm, diameter_in, 100)
    assert loss_ft == pytest.approx(loss_m / M_PER_FT, rel=0.10)
