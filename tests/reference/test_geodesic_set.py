"""C. Karney's geodesic test set (doi:10.5281/zenodo.32156), 100 of its lines, and a surveyed line.

Status: the set is published with its lengths; the second check is Geoscience Australia's line (from
memory; GRS 80, whose lengths differ from WGS 84's by less than 0.001 m here).
"""

import numpy as np
import pytest

from registry.records.geodesy import geodesic_m, geodesics_m
from registry.records.places import LonLat


def test_lengths_are_those_of_the_set_within_a_millimetre(reference_data):
    rows = np.loadtxt(reference_data / "data/geodesy/GeodTest-100.dat")
    assert len(rows) == 100
    lat_a, lon_a, _, lat_b, lon_b, _, length_m = rows.T[:7]
    assert geodesics_m(lon_a, lat_a, lon_b, lat_b) == pytest.approx(length_m, abs=0.001)
    one = geodesic_m(LonLat(lon_a[0], lat_a[0]), LonLat(lon_b[0], lat_b[0]))
    assert one == pytest.approx(length_m[0], abs=0.001)


def _degrees(degrees, minutes, seconds):
    return degrees + minutes / 60 + seconds / 3600


def test_a_surveyed_line_has_its_length():
    a = LonLat(_degrees(144, 25, 29.52440), -_degrees(37, 57, 3.72030))
    b = LonLat(_degrees(143, 55, 35.38390), -_degrees(37, 39, 10.15610))
    assert geodesic_m(a, b) == pytest.approx(54_972.271, abs=0.001)
