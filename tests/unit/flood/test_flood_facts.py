"""Flood facts of a site: what wins, what is unknown, and why."""

from datetime import UTC, datetime

import numpy as np
import pytest
import shapely

from registry.flood.areas import Outlines, areas_at, edge_distances_m
from registry.flood.facts import Hits, facts_from_hits, flag_counts, is_unknown
from registry.flood.join import flood_facts
from registry.flood.nfhl import flood_area
from registry.flood.sites import FloodSite, flood_site
from registry.records.elevation import Elevation
from registry.records.flood import BfeLine
from registry.records.places import Jurisdiction, LonLat, Site
from registry.records.systems import Component, ComponentKind, System

SQUARE = shapely.box(-90.01, 45.0, -90.0, 45.01)
WIDE = shapely.box(-90.02, 44.99, -89.99, 45.02)
INSIDE = LonLat(-90.005, 45.005)
OUTSIDE = LonLat(-89.995, 45.005)
PANEL, LID = "control panel", "lid"


def area(zone="AE", shape=SQUARE, **given):
    return flood_area({"FLD_ZONE": zone, "SFHA_TF": "", **given}, shape)


def static(level_ft=211.0, datum="NAVD88", **given):
    return area(STATIC_BFE=level_ft, V_DATUM=datum, LEN_UNIT="Feet", **given)


def site(lon_lat=INSIDE, *equipment, offset_ft=None):
    return FloodSite(site_id=7, lon_lat=lon_lat, equipment=equipment, ngvd29_to_navd88_ft=offset_ft)


def fact(of, *areas, lines=(), **options):
    return flood_facts([of], areas, lines, **options)[0]


def test_a_site_in_a_hazard_area_has_its_zone_and_level():
    found = fact(site(INSIDE, (PANEL, Elevation(212.4, "NAVD88"))), static(ZONE_SUBTY="FLOODWAY"))
    assert (found.zone, found.subtype, found.in_hazard_area) == ("AE", "FLOODWAY", True)
    assert found.bfe == Elevation(211.0, "NAVD88")
    assert found.bfe_method == "the flood area's own base flood elevation"
    assert (found.below_bfe, found.lowest_component) == (False, PANEL)
    assert found.lowest_freeboard_ft == pytest.approx(1.4)
    assert found.unknown_why == ""


def test_the_lowest_component_tells_whether_equipment_is_below():
    low = (LID, Elevation(210.5, "NAVD88"))
    found = fact(site(INSIDE, (PANEL, Elevation(212.4, "NAVD88")), low), static())
    assert found.below_bfe is True
    assert (found.lowest_component, found.lowest_freeboard_ft) == (LID, -0.5)


def test_equipment_at_the_base_flood_elevation_is_not_below():
    assert fact(site(INSIDE, (PANEL, Elevation(211.0, "NAVD88"))), static()).below_bfe is False


def test_another_datum_needs_a_stated_offset():
    panel = (PANEL, Elevation(209.0, "NGVD29"))
    unknown = fact(site(INSIDE, panel), static())
    assert unknown.below_bfe is None
    assert unknown.lowest_freeboard_ft is None
    assert unknown.unknown_why == "datums differ: control panel on NGVD29, BFE on NAVD88"
    stated = fact(site(INSIDE, panel, offset_ft=3.4), static())
    assert stated.lowest_freeboard_ft == pytest.approx(1.4)
    assert stated.below_bfe is False


def test_one_component_on_an_unlike_datum_leaves_above_unknown_but_not_below():
    vent = ("vent", Elevation(215.0, ""))
    above = fact(site(INSIDE, (PANEL, Elevation(212.4, "NAVD88")), vent), static())
    assert above.below_bfe is None
    assert above.lowest_freeboard_ft == pytest.approx(1.4)
    assert above.unknown_why == "datums differ: vent without a stated datum, BFE on NAVD88"
    below = fact(site(INSIDE, (PANEL, Elevation(210.0, "NAVD88")), vent), static())
    assert below.below_bfe is True


def test_no_elevation_measured_is_told():
    found = fact(site(), static())
    assert found.below_bfe is None
    assert found.unknown_why == "no elevation measured"
    assert is_unknown(found)


@pytest.mark.parametrize(
    ("hazard", "why"),
    [
        (area("A"), "no BFE: zone A was studied without one"),
        (area("AO", DEPTH=2.0, LEN_UNIT="Feet"),
         "no BFE: zone AO gives a depth of 2 ft, not an elevation"),
        (area("AE", STATIC_BFE=-9999.0), "no BFE: neither the area nor a line gives one"),
    ],
)  # fmt: skip
def test_a_hazard_area_without_a_level_says_why(hazard, why):
    found = fact(site(INSIDE, (PANEL, Elevation(212.4, "NAVD88"))), hazard)
    assert found.in_hazard_area is True
    assert found.bfe is None
    assert found.bfe_method == ""
    assert found.unknown_why == why


def test_a_level_between_lines_is_used_where_the_area_has_none():
    lines = [
        BfeLine(elevation=Elevation(level, "NAVD88"),
                geometry=shapely.LineString([(lon, 44.999), (lon, 45.011)]))
        for lon, level in ((-90.008, 109.0), (-90.002, 108.0))
    ]  # fmt: skip
    found = fact(site(INSIDE, (PANEL, Elevation(108.0, "NAVD88"))), area(), lines=lines)
    assert found.bfe == Elevation(pytest.approx(108.5, abs=0.001), "NAVD88")
    assert found.below_bfe is True
    past = fact(site(LonLat(-90.009, 45.005)), area(), lines=lines)
    assert past.bfe is None
    assert past.unknown_why == "no BFE: the site lies past the last base flood elevation line"
    own = fact(site(), static(120.0), lines=lines)
    assert own.bfe == Elevation(120.0, "NAVD88")


def test_outside_every_area_but_within_the_layer_is_outside():
    found = fact(site(OUTSIDE), area(), area("X", shapely.box(-90.02, 44.9, -90.0, 44.95)),
                 area("X", shapely.box(-89.9, 45.1, -89.8, 45.2)))  # fmt: skip
    assert (found.zone, found.in_hazard_area, found.unknown_why) == ("", False, "")
    assert not is_unknown(found)


def test_outside_the_hazard_area_no_level_applies():
    found = fact(site(OUTSIDE, (PANEL, Elevation(1.0, "NAVD88"))), static(), area("X", WIDE))
    assert (found.zone, found.in_hazard_area) == ("X", False)
    assert (found.bfe, found.below_bfe, found.unknown_why) == (None, None, "")


@pytest.mark.parametrize(
    ("place", "areas", "why"),
    [
        (LonLat(-80.0, 45.0), [area()], "outside the flood layer's extent"),
        (INSIDE, [], "no flood layer"),
        (None, [area()], "no position"),
        (INSIDE, [area("D")], "not studied"),
        (INSIDE, [area("OPEN WATER", SFHA_TF="F")], "open water"),
        (INSIDE, [area("AREA NOT INCLUDED")], "leaves this area out"),
        (INSIDE, [area("Q")], "“Q” is not known"),
        (INSIDE, [area("AE", None), area("X", WIDE)], "faulty outline"),
    ],
)
def test_what_is_unknown_says_why(place, areas, why):
    found = fact(site(place), *areas)
    assert found.in_hazard_area is None
    assert why in found.unknown_why
    assert is_unknown(found)


def test_zone_d_is_undetermined_even_where_an_outside_area_overlaps():
    assert fact(site(), area("X", WIDE), area("D")).in_hazard_area is None


def test_of_overlapping_areas_the_most_hazardous_wins():
    shaded = area("X", ZONE_SUBTY="0.2 PCT ANNUAL CHANCE FLOOD HAZARD")
    found = fact(site(), area("X", WIDE), shaded, area("A"), static(), area("D"))
    assert (found.zone, found.in_hazard_area) == ("AE", True)
    without = fact(site(), area("X", WIDE), shaded)
    assert without.subtype == "0.2 PCT ANNUAL CHANCE FLOOD HAZARD"


def test_of_equal_areas_the_higher_level_wins():
    assert fact(site(), static(210.0), static(212.0), static(211.0)).bfe == Elevation(
        212.0, "NAVD88"
    )


def test_a_winner_without_a_level_takes_the_next_ones():
    assert fact(site(), area(ZONE_SUBTY="FLOODWAY"), static()).bfe == Elevation(211.0, "NAVD88")


def test_near_an_edge_is_marked_on_both_sides():
    inside, outside = LonLat(-90.0001, 45.005), LonLat(-89.9999, 45.005)
    for place, is_in in ((inside, True), (outside, False)):
        found = fact(site(place), area(), area("X", WIDE))
        assert (found.in_hazard_area, found.near_edge) == (is_in, True)
        assert found.edge_m == pytest.approx(7.88, abs=0.05)
    assert fact(site(inside), area(), edge_accuracy_m=5.0).near_edge is False
    assert fact(site(), area()).edge_m is None


def test_on_an_edge_is_inside_and_near():
    found = fact(site(LonLat(-90.0, 45.005)), area(), area("X", WIDE))
    assert (found.zone, found.in_hazard_area, found.near_edge) == ("AE", True, True)
    assert found.edge_m == pytest.approx(0.0, abs=0.001)


def test_pairs_from_elsewhere_give_the_same_facts():
    """A database hands in its own pairs in any order; a faulty outline's pair does not count."""
    areas = [area("X", WIDE), static(), area("VE", shapely.Polygon([
        (-90.01, 45.0), (-90.0, 45.01), (-90.0, 45.0), (-90.01, 45.01)]))]  # fmt: skip
    sites = [site(INSIDE, (PANEL, Elevation(212.4, "NAVD88"))), site(OUTSIDE), site(None)]
    outlines = Outlines(areas)
    positions = np.array([INSIDE, OUTSIDE, (np.nan, np.nan)])
    hits = Hits(
        pairs=np.array([[1, 0], [0, 2], [0, 1], [0, 0]]),
        edge_m=edge_distances_m(positions, outlines, 20.0),
    )
    assert facts_from_hits(sites, outlines, hits) == flood_facts(sites, areas)
    assert areas_at(positions, outlines).tolist() == [[0, 0], [0, 1], [1, 0]]


def test_counts_are_those_of_the_flags():
    moment = datetime(2026, 6, 15, 12, tzinfo=UTC)
    facts = flood_facts(
        [site(INSIDE, (PANEL, Elevation(200.0, "NAVD88"))), site(), site(OUTSIDE), site(None)],
        [static(), area("X", WIDE)],
        flagged_at=moment,
    )
    assert flag_counts(facts) == {"sites": 4, "in_hazard_area": 2, "unknown": 2, "below_bfe": 1}
    assert {found.flagged_at for found in facts} == {moment}


def test_no_sites_are_no_facts():
    assert flood_facts([], [area()]) == []


def test_a_site_brings_the_components_that_have_an_elevation():
    kind = ComponentKind.CONTROL_PANEL
    level = Elevation(212.4, "NAVD88")
    system = System(
        components=(
            Component(kind=kind, elevation=level),
            Component(kind=kind, label="old panel", elevation=level),
            Component(kind=ComponentKind.LID),
        )
    )
    made = flood_site(
        Site(id=3, key="S-3", lon_lat=INSIDE),
        [system],
        Jurisdiction(name="a county", ngvd29_to_navd88_ft=3.4),
    )
    assert made == FloodSite(
        site_id=3,
        lon_lat=INSIDE,
        equipment=(("control panel", level), ("old panel", level)),
        ngvd29_to_navd88_ft=3.4,
    )
