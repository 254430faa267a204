"""State Plane check points of the US government's program l176, as PROJ's own tests keep them.

92 points in 35 zones, NAD 83, US survey feet. Status: published values.
"""

import csv

import numpy as np
import pytest

from registry.records.geodesy import geodesics_m, to_lon_lat, transform
from registry.units import M_PER_FT, M_PER_FTUS

NAD83 = "EPSG:4269"


@pytest.fixture(scope="module")
def points(reference_data):
    path = reference_data / "data/geodesy/state_plane_nad83_even_zones.csv"
    with path.open(newline="", encoding="utf-8") as text:
        rows = list(csv.DictReader(text))
    assert len(rows) == 92
    return rows


def _numbers(rows, *columns):
    return [np.array([float(row[column]) for row in rows]) for column in columns]


def test_degrees_become_the_printed_feet(points):
    for row in points:
        lon, lat, east, north = (
            float(row[name]) for name in ("lon_deg", "lat_deg", "easting_usft", "northing_usft")
        )
        x, y = transform(lon, lat, NAD83, row["crs"])
        assert float(x[0]) == pytest.approx(east, abs=0.01), row["label"]
        assert float(y[0]) == pytest.approx(north, abs=0.01), row["label"]


def test_feet_become_degrees_within_the_two_metres_between_the_datums(points):
    for row in points:
        lon, lat, east, north = (
            float(row[name]) for name in ("lon_deg", "lat_deg", "easting_usft", "northing_usft")
        )
        got_lon, got_lat = to_lon_lat(east, north, row["crs"])
        assert geodesics_m(got_lon, got_lat, [lon], [lat])[0] < 2.0, row["label"]


def test_survey_feet_are_not_international_feet(points):
    east_usft, east_m = _numbers(points, "easting_usft", "easting_m")
    assert east_usft * M_PER_FTUS == pytest.approx(east_m, abs=0.002)
    assert np.abs(east_usft * M_PER_FT - east_m).min() > 0.1
