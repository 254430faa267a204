"""FEMA, “Guide to Flood Insurance Rate Maps”, 1988, p. 29: half way between two BFE lines.

Status: verified in a state archive's scan. The level between cross-sections is derived.
"""

import numpy as np
import pytest
import shapely

from registry.errors import RangeError
from registry.flood import Elevation, interpolated_ft
from registry.flood.areas import Outlines
from registry.flood.bfe_lines import bfes_between_lines
from registry.records.flood import BfeLine, FloodArea

RIVER = shapely.box(-90.03, 45.0, -90.0, 45.004)


def test_half_way_between_lines_108_and_109_the_level_is_108_5():
    assert interpolated_ft(0.5, (0.0, 108.0), (1.0, 109.0)) == 108.5
    lines = [
        BfeLine(
            elevation=Elevation(level_ft, "NAVD88"),
            geometry=shapely.LineString([(lon, 45.0), (lon, 45.004)]),
        )
        for lon, level_ft in ((-90.02, 109.0), (-90.01, 108.0))
    ]
    layer = Outlines([FloodArea(zone="AE", sfha=True, geometry=RIVER)])
    places = np.array([(-90.015, 45.002), (-90.025, 45.002)])
    half_way, past_last = bfes_between_lines(places, np.array([0, 0]), layer, lines)
    assert half_way.elevation == Elevation(pytest.approx(108.5, abs=1e-6), "NAVD88")
    assert past_last.elevation is None


def test_a_site_between_cross_sections_takes_its_level_by_station():
    """210.4 ft at 5,000, 212.0 ft at 5,800; the site at 5,300 (derived)."""
    level_ft = interpolated_ft(5300, (5000, 210.4), (5800, 212.0))
    assert level_ft == pytest.approx(211.0, abs=0.05)


@pytest.mark.parametrize("station", [4999, 5801])
def test_a_level_is_not_extrapolated(station):
    """Common practice, no source: never past the last line."""
    with pytest.raises(RangeError, match="not extrapolated"):
        interpolated_ft(station, (5000, 210.4), (5800, 212.0))
