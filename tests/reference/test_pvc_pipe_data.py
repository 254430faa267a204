"""PVC pipe data, outside diameters and least walls of two makers' tables; volumes derived.

Status: outside diameter and Schedule 40 wall verified; SDR 21 wall = outside diameter / 21 from
memory (ASTM D2241); inside diameter, volume and flow at 2 ft/s derived.
"""

import pytest

from registry.hydraulics import PipeSeries, inside_diameter_in, pipe_gal_per_ft, scour_flow_gpm

SIZES = [
    (1.0, PipeSeries.SCHEDULE_40, 1.049, 0.0449, 5.39),
    (1.25, PipeSeries.SCHEDULE_40, 1.380, 0.0777, 9.32),
    (1.5, PipeSeries.SCHEDULE_40, 1.610, 0.1058, 12.69),
    (2.0, PipeSeries.SCHEDULE_40, 2.067, 0.1743, 20.92),
    (3.0, PipeSeries.SCHEDULE_40, 3.068, 0.3840, 46.08),
    (4.0, PipeSeries.SCHEDULE_40, 4.026, 0.6613, 79.36),
    (1.0, PipeSeries.SDR_21, 1.189, 0.0577, 6.92),
    (1.25, PipeSeries.SDR_21, 1.502, 0.0920, 11.05),
    (1.5, PipeSeries.SDR_21, 1.720, 0.1207, 14.48),
    (2.0, PipeSeries.SDR_21, 2.149, 0.1884, 22.61),
    (3.0, PipeSeries.SDR_21, 3.166, 0.4090, 49.08),
    (4.0, PipeSeries.SDR_21, 4.072, 0.6765, 81.18),
]


@pytest.mark.parametrize(("nominal_in", "series", "inside_in", "volume", "scour_gpm"), SIZES)
def test_every_size_has_its_diameter_volume_and_scouring_flow(
    nominal_in, series, inside_in, volume, scour_gpm
):
    diameter_in = inside_diameter_in(nominal_in, series)
    assert diameter_in == pytest.approx(inside_in, abs=1e-9)
    assert pipe_gal_per_ft(diameter_in) == pytest.approx(volume, abs=0.0002)
    assert scour_flow_gpm(diameter_in) == pytest.approx(scour_gpm, abs=0.05)
