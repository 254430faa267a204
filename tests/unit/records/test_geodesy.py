"""Lengths, transformations and the local plane."""

import numpy as np
import pytest

from registry.errors import RangeError
from registry.records.geodesy import (
    LocalPlane,
    geodesic_m,
    geodesics_m,
    metres_per_degree,
    to_lon_lat,
)
from registry.records.places import LonLat


@pytest.mark.parametrize("lat", [0.0, 25.0, 45.0, 61.0, -33.0])
def test_a_degree_is_as_long_as_geodesics_say(lat):
    east_m, north_m = metres_per_degree(lat)
    east = geodesic_m(LonLat(-90, lat), LonLat(-89.999, lat)) / 0.001
    north = geodesic_m(LonLat(-90, lat - 0.0005), LonLat(-90, lat + 0.0005)) / 0.001
    assert float(east_m) == pytest.approx(east, rel=1e-8)
    assert float(north_m) == pytest.approx(north, rel=1e-8)


@pytest.mark.parametrize(("east", "north"), [(0.05, 0.0), (0.0, 0.04), (-0.03, 0.03)])
def test_the_local_plane_keeps_lengths_within_five_kilometres(east, north):
    here = LonLat(-122.0, 45.0)
    there = LonLat(here.lon + east, here.lat + north)
    length_m = float(np.hypot(*LocalPlane(here).metres(np.array([there]))[0]))
    assert length_m == pytest.approx(geodesic_m(here, there), rel=0.001)


def test_lengths_of_many_pairs_are_those_of_each():
    lengths = geodesics_m([-122, -121], [45, 46], [-121, -121], [45, 46])
    assert lengths[0] == geodesic_m(LonLat(-122, 45), LonLat(-121, 45))
    assert lengths[1] == 0


def test_an_unknown_system_is_told_in_a_sentence():
    with pytest.raises(RangeError, match="no coordinate system “EPSG:1”"):
        to_lon_lat([1.0], [1.0], "EPSG:1")


def test_a_coordinate_outside_a_system_is_not_a_number():
    lon, lat = to_lon_lat([5e9, 500_000], [5e9, 5_000_000], "EPSG:26910")
    assert np.isnan(lon[0])
    assert np.isnan(lat[0])
    assert lon[1] == pytest.approx(-123.0)
    assert lat[1] == pytest.approx(45.15, abs=0.01)
