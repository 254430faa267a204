"""Kitsap County Board of Health Ordinance 2008-01, Policy 18 (2010), §1.1.1 and §1.1.2.

Evenness and least head of pressure distribution. Status: verified; examples derived. Beside it, for
the least head, the Alberta Private Sewage Systems Standard of Practice 2009, 2.6.2.5, and the older
Minnesota form (both verified), and mound practice (from memory).
"""

import pytest

from registry.hydraulics import (
    HeightBase,
    LeastHeadRule,
    evenness,
    flow_difference_share,
    height_difference_share,
    height_share_of,
    highest_even_in,
    least_head_ft,
)
from registry.hydraulics.squirt import LATERAL_FLOW_SHARE, NETWORK_FLOW_SHARE
from registry.units import FT_WATER_PER_PSI


def test_ten_percent_of_flow_is_21_percent_of_height_along_a_lateral():
    assert height_share_of(LATERAL_FLOW_SHARE) == pytest.approx(0.21, abs=1e-9)


def test_fifteen_percent_of_flow_is_32_percent_of_height_over_the_network():
    assert height_share_of(NETWORK_FLOW_SHARE) == pytest.approx(0.32, abs=0.003)


@pytest.mark.parametrize(("flow_share", "of_highest"), [(0.10, 0.174), (0.15, 0.244)])
def test_against_the_highest_height_the_shares_are_smaller(flow_share, of_highest):
    """Derived: 1 − 1/1.10² = 0.174 and 1 − 1/1.15² = 0.244, flows as shares of the least."""
    assert height_share_of(flow_share, HeightBase.HIGHEST) == pytest.approx(of_highest, abs=0.001)


@pytest.mark.parametrize(("flow_share", "of_highest"), [(0.10, 0.190), (0.15, 0.2775)])
def test_flows_and_heights_both_against_the_highest_give_19_and_28_percent(flow_share, of_highest):
    """Derived: a flow that is 10 % below the greatest has a height of 0.90² of the highest."""
    heights = [1.0, (1 - flow_share) ** 2]
    assert height_difference_share(heights, HeightBase.HIGHEST) == pytest.approx(
        of_highest, abs=0.001
    )


def test_60_58_and_52_inches_pass():
    told = evenness([60.0, 58.0, 52.0])
    assert told.height_share == pytest.approx(0.154, abs=0.001)
    assert told.flow_share == pytest.approx(0.074, abs=0.001)
    assert told.is_even


def test_62_9_inches_is_the_highest_that_is_even_with_52():
    assert highest_even_in(52.0) == pytest.approx(62.9, abs=0.1)
    assert evenness([52.0, 62.9]).is_even
    assert not evenness([52.0, 63.0]).is_even
    assert flow_difference_share([52.0, highest_even_in(52.0)]) == pytest.approx(0.10)


@pytest.mark.parametrize(
    ("orifice_in", "head_ft", "printed_psi"),
    [(1 / 8, 5.0, 2.18), (5 / 32, 5.0, 2.18), (3 / 16, 2.0, 0.87), (1 / 4, 2.0, 0.87)],
)
def test_the_least_head_goes_by_the_hole(orifice_in, head_ft, printed_psi):
    assert least_head_ft(orifice_in) == head_ft
    assert printed_psi * FT_WATER_PER_PSI == pytest.approx(head_ft, abs=0.03)


@pytest.mark.parametrize(
    ("rule", "orifice_in", "head_ft"),
    [
        (LeastHeadRule.ALBERTA, 3 / 16, 5.0),
        (LeastHeadRule.ALBERTA, 1 / 4, 2.0),
        (LeastHeadRule.MINNESOTA_HOME, 1 / 4, 1.0),
        (LeastHeadRule.MINNESOTA_OTHER, 1 / 4, 2.0),
        (LeastHeadRule.MOUND, 1 / 4, 2.5),
        (LeastHeadRule.MOUND, 3 / 16, 3.5),
        (LeastHeadRule.MOUND, 1 / 8, 5.0),
    ],
)
def test_other_rules_ask_for_other_least_heads(rule, orifice_in, head_ft):
    assert least_head_ft(orifice_in, rule) == head_ft
