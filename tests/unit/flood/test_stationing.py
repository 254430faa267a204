"""Places along a river, measured on the ellipsoid."""

import numpy as np
import pytest
from pyproj import Geod

from registry.errors import RangeError
from registry.flood.stationing import Centreline, along_m, stationed

WGS84 = Geod(ellps="WGS84")


def river(first_mi: float = 0.0, last_mi: float = 10.0, *, turned: bool = False) -> Centreline:
    corners = np.array([(-90.0, 45.0), (-90.02, 45.05), (-90.1, 45.06), (-90.1, 45.12)])
    return Centreline(
        gauge="mill",
        river="Invented River",
        lon_lat_deg=corners[::-1] if turned else corners,
        first_mi=last_mi if turned else first_mi,
        last_mi=first_mi if turned else last_mi,
    )


def test_corners_of_the_line_have_the_share_of_its_length_on_the_ellipsoid():
    line = river()
    found = stationed([line], line.lon_lat_deg, 10.0)
    lengths = WGS84.line_lengths(*line.lon_lat_deg.T)
    expected = 10 * np.concatenate(([0], np.cumsum(lengths))) / sum(lengths)
    assert found.station_mi == pytest.approx(expected, abs=1e-9)
    assert found.offset_m == pytest.approx(0, abs=1e-6)


def test_the_direction_in_which_a_line_is_drawn_changes_nothing():
    places = np.array([(-90.01, 45.03), (-90.07, 45.05), (-90.12, 45.1)])
    one = stationed([river()], places, 5000.0)
    other = stationed([river(turned=True)], places, 5000.0)
    assert one.station_mi == pytest.approx(other.station_mi, abs=1e-9)


def test_a_place_beside_the_line_has_the_station_of_its_foot_and_its_distance():
    line = river()
    middle = (line.lon_lat_deg[0] + line.lon_lat_deg[1]) / 2
    azimuth, _, length_m = WGS84.inv(*line.lon_lat_deg[0], *line.lon_lat_deg[1])
    lon, lat, _ = WGS84.fwd(*middle, azimuth + 90, 400.0)
    found = stationed([line], np.array([(lon, lat)]), 500.0)
    assert found.offset_m == pytest.approx([400.0], rel=2e-3)
    total_m = along_m(line.lon_lat_deg)[-1]
    assert found.station_mi == pytest.approx([10 * length_m / 2 / total_m], abs=5e-3)


def test_the_nearer_of_two_rivers_counts_and_a_place_far_from_both_has_no_station():
    west = Centreline(
        gauge="west",
        river="West",
        lon_lat_deg=np.array([(-91.0, 45.0), (-91.0, 45.1)]),
        first_mi=3,
        last_mi=9,
    )
    found = stationed([river(), west], np.array([(-91.001, 45.05), (-90.5, 45.05)]), 1000.0)
    assert found.line.tolist() == [1, -1]
    assert found.station_mi[0] == pytest.approx(6.0, abs=1e-3)
    assert np.isnan(found.station_mi[1])


def test_no_line_or_no_place_gives_no_station_and_a_line_without_length_is_refused():
    assert stationed([], np.zeros((2, 2)), 1.0).line.tolist() == [-1, -1]
    assert len(stationed([river()], np.zeros((0, 2)), 1.0).line) == 0
    point = Centreline(gauge="p", river="P", lon_lat_deg=np.zeros((2, 2)), first_mi=0, last_mi=1)
    with pytest.raises(RangeError, match="no length"):
        stationed([point], np.zeros((1, 2)), 1.0)
