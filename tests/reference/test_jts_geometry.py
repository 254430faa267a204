"""Topology tests of the JTS library (EPL 2.0 or EDL 1.0): points on edges, and faulty outlines.

Status: published cases with their answers.
"""

import numpy as np
import pytest
import shapely
from lxml import etree

from registry.flood.areas import Outlines, areas_at
from registry.flood.join import flood_facts
from registry.flood.sites import FloodSite
from registry.records.flood import FloodArea
from registry.records.places import LonLat

POINTS = ("Point", "MultiPoint")
AREAS = ("Polygon", "MultiPolygon")
POINT_FILES = {
    "jts_general_TestRelatePA.xml": 11,
    "jts_validate_TestRelatePA.xml": 41,
    "jts_general_TestPreparedPointPredicate.xml": 3,
}
"""File → cases of a point or points and an area."""


def _cases(path):
    for case in etree.parse(str(path)).getroot().iter("case"):
        told = {op.get("name"): op.text.strip() for op in case.iter("op")}
        yield case.findtext("desc"), case.findtext("a"), case.findtext("b"), told


def _shape(text):
    with np.errstate(invalid="ignore"):
        return shapely.from_wkt(" ".join(text.split()))


def _outlines(shape):
    return Outlines([FloodArea(zone="AE", sfha=True, geometry=shape)])


@pytest.mark.parametrize(("name", "count"), POINT_FILES.items())
def test_a_point_is_in_an_area_where_the_cases_say_they_meet(reference_data, name, count):
    seen = 0
    for desc, a, b, told in _cases(reference_data / "data/geometry" / name):
        points, area = _shape(a), _shape(b)
        if area.geom_type in POINTS:
            points, area = area, points
        assert points.geom_type in POINTS, desc
        assert area.geom_type in AREAS, desc
        hits = areas_at(shapely.get_coordinates(points), _outlines(area))
        assert (len(hits) > 0) == (told["intersects"] == "true"), desc
        if told.get("disjoint"):
            assert (len(hits) == 0) == (told["disjoint"] == "true"), desc
        seen += 1
    assert seen == count


def test_only_sound_areas_are_relied_on_and_no_place_passes_as_outside_a_faulty_one(
    reference_data,
):
    seen = {True: 0, False: 0}
    for desc, a, _, told in _cases(reference_data / "data/geometry/jts_general_TestValid.xml"):
        shape = _shape(a)
        if shape.geom_type not in AREAS:
            continue
        is_sound = told["isValid"] == "true" and not shape.is_empty
        layer = _outlines(shape)
        with np.errstate(invalid="ignore"):
            assert bool(layer.is_sound[0]) is is_sound, desc
            seen[is_sound] += 1
            if is_sound:
                continue
            corners = shapely.get_coordinates(shape)
            for corner in corners[np.isfinite(corners).all(axis=1)]:
                (fact,) = flood_facts(
                    [FloodSite(site_id=1, lon_lat=LonLat(*map(float, corner)))], layer.areas
                )
                assert fact.in_hazard_area is None, desc
    assert seen[True] + seen[False] == 68
    assert min(seen.values()) >= 10
