"""Which areas hold which places, and how near their edges are."""

import numpy as np
import pytest
import shapely

from registry.flood.areas import Outlines, areas_at, edge_distances_m
from registry.records.flood import FloodArea
from registry.records.geodesy import geodesic_m
from registry.records.places import Box, LonLat

SQUARE = shapely.box(-90.01, 45.0, -90.0, 45.01)
RING = shapely.box(-90.1, 45.0, -90.0, 45.1) - shapely.box(-90.08, 45.02, -90.02, 45.08)
BOW_TIE = shapely.Polygon([(-90.01, 45.0), (-90.0, 45.01), (-90.0, 45.0), (-90.01, 45.01)])

with np.errstate(invalid="ignore"):
    NOT_A_NUMBER = shapely.Polygon([(-90.01, 45.0), (-90.0, np.nan), (-90.0, 45.01)])


def outlines(*shapes, sfha=True):
    return Outlines([FloodArea(zone="AE", sfha=sfha, geometry=shape) for shape in shapes])


def at(*places):
    return np.array(places, dtype=float).reshape(-1, 2)


@pytest.mark.parametrize(
    ("lon", "lat"), [(-90.005, 45.005), (-90.0, 45.005), (-90.005, 45.01), (-90.01, 45.0)]
)
def test_inside_on_an_edge_and_on_a_corner_are_inside(lon, lat):
    assert areas_at(at((lon, lat)), outlines(SQUARE)).tolist() == [[0, 0]]


def test_a_hole_is_outside_and_its_edge_inside():
    pairs = areas_at(at((-90.05, 45.05), (-90.02, 45.05), (-90.01, 45.05)), outlines(RING))
    assert pairs.tolist() == [[1, 0], [2, 0]]


def test_every_area_of_an_overlap_is_found():
    pairs = areas_at(at((-90.005, 45.005), (-80.0, 45.0)), outlines(RING, SQUARE))
    assert pairs.tolist() == [[0, 0], [0, 1]]


def test_a_place_without_a_position_is_in_no_area():
    nowhere = at((np.nan, np.nan), (-90.005, 45.005))
    assert areas_at(nowhere, outlines(SQUARE)).tolist() == [[1, 0]]
    assert np.isnan(edge_distances_m(nowhere, outlines(SQUARE), 1000.0)[0])


@pytest.mark.parametrize("layer", [outlines(), outlines(None), outlines(shapely.Polygon())])
def test_a_layer_without_outlines_holds_nothing(layer):
    assert areas_at(at((-90.005, 45.005)), layer).shape == (0, 2)
    assert np.isnan(edge_distances_m(at((-90.005, 45.005)), layer, 20.0)).all()
    assert layer.extent is None


@pytest.mark.parametrize("lat", [0.0, 45.0, 64.0])
@pytest.mark.parametrize(("east", "north"), [(1, 0), (-1, 0), (0, 1), (0, -1), (1, 1)])
def test_an_edge_is_as_far_as_the_ellipsoid_says(lat, east, north):
    shape = shapely.box(-90.01, lat - 0.01, -90.0, lat)
    corner = LonLat(-90.0 if east > 0 else -90.01, lat if north > 0 else lat - 0.01)
    middle = LonLat(-90.005, lat - 0.005)
    foot = LonLat(corner.lon if east else middle.lon, corner.lat if north else middle.lat)
    here = LonLat(foot.lon + east * 1e-4, foot.lat + north * 1e-4)
    found = edge_distances_m(at(here), outlines(shape), 50.0)
    assert found[0] == pytest.approx(geodesic_m(here, foot), rel=0.001)


def test_edges_are_near_from_inside_too_and_far_ones_are_left_out():
    inside, far = (-90.0001, 45.005), (-90.005, 45.005)
    found = edge_distances_m(at(inside, far), outlines(SQUARE), 20.0)
    assert found[0] == pytest.approx(7.88, abs=0.02)
    assert np.isnan(found[1])


def test_nearest_on_the_ground_wins_over_nearest_in_degrees():
    """At 60° a degree of longitude is half as long: 0.00015° east is nearer than 0.0001° north."""
    shape = shapely.union_all(
        [shapely.box(10.00015, 59.99, 10.01, 60.01), shapely.box(9.99, 60.0001, 10.0, 60.01)]
    )
    found = edge_distances_m(at((10.0, 60.0)), outlines(shape), 20.0)
    east_m = geodesic_m(LonLat(10.0, 60.0), LonLat(10.00015, 60.0))
    assert found[0] == pytest.approx(east_m, rel=0.001)
    assert east_m < geodesic_m(LonLat(10.0, 60.0), LonLat(10.0, 60.0001))


def test_only_edges_of_hazard_areas_count():
    place = at((-90.0001, 45.005))
    assert np.isnan(edge_distances_m(place, outlines(SQUARE, sfha=False), 20.0)[0])
    assert np.isnan(edge_distances_m(place, outlines(SQUARE, sfha=None), 20.0)[0])


@pytest.mark.parametrize(
    "shape",
    [
        None,
        shapely.Polygon(),
        BOW_TIE,
        shapely.LineString([(-90.01, 45.0), (-90.0, 45.01)]),
        NOT_A_NUMBER,
    ],
)
def test_a_faulty_outline_holds_nothing_and_may_hold_what_is_near(shape):
    layer = outlines(shape, SQUARE)
    inside = at((-90.005, 45.005))
    assert areas_at(inside, layer).tolist() == [[0, 1]]
    assert layer.may_hold(inside).all()


def test_a_faulty_outline_with_a_box_says_nothing_of_places_outside_it():
    layer = outlines(BOW_TIE)
    assert layer.may_hold(at((-90.005, 45.005), (-89.0, 45.0))).tolist() == [True, False]
    assert layer.extent == Box(-90.01, 45.0, -90.0, 45.01)
