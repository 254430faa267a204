"""Where each component is, as one walks to it from the reference corner."""

import pytest

from registry.field.place import Method, part_label, place_parts
from registry.records.places import LonLat, Site
from registry.records.systems import Component, ComponentKind

SITE = Site(key="R-0001", corner_b_bearing_deg=90, corner_b_distance_ft=30)
BARE = Site(key="R-0002")
TANK = ComponentKind.SEPTIC_TANK


def test_bearing_and_distance_are_taken_as_measured_and_told_in_paces() -> None:
    (part,) = place_parts(BARE, [Component(kind=TANK, bearing_deg=500, distance_ft=30)])
    assert (part.method, part.bearing_deg, part.distance_ft) == (Method.MEASURED, 140, 30)
    # 2.5 ft a pace: common practice, no source.
    assert part.paces == 12


def test_two_ties_without_a_side_leave_two_places_and_say_so() -> None:
    (part,) = place_parts(SITE, [Component(kind=TANK, tie_a_ft=40, tie_b_ft=50)])
    assert part.method is Method.TIES
    assert part.bearing_deg == pytest.approx(0, abs=1e-9)
    assert part.other_bearing_deg == pytest.approx(180)
    assert "Either side" in part.note


def test_a_stated_side_settles_the_ties() -> None:
    tied = Component(kind=TANK, tie_a_ft=40, tie_b_ft=50, details={"side": "south"})
    (part,) = place_parts(SITE, [tied])
    assert part.bearing_deg == pytest.approx(180)
    assert part.other_bearing_deg is None
    assert part.note == ""


@pytest.mark.parametrize(
    ("site", "component", "why"),
    [
        (SITE, Component(kind=TANK, tie_a_ft=5, tie_b_ft=5), "cannot meet"),
        (SITE, Component(kind=TANK, tie_a_ft=5), "the other is missing"),
        (BARE, Component(kind=TANK, tie_a_ft=5, tie_b_ft=5), "second corner's bearing"),
        (SITE, Component(kind=TANK), "not on file"),
        (SITE, Component(kind=TANK, bearing_deg=5), "not on file"),
        (SITE, Component(kind=TANK, bearing_deg=float("nan"), distance_ft=5), "not on file"),
        (SITE, Component(kind=TANK, lon_lat=LonLat(-100, 40)), "position only (40.000000, -100"),
    ],
)
def test_a_part_that_cannot_be_placed_is_kept_and_says_why(
    site: Site, component: Component, why: str
) -> None:
    (part,) = place_parts(site, [component])
    assert part.method is Method.NONE
    assert (part.bearing_deg, part.distance_ft, part.paces) == (None, None, None)
    assert why in part.note


def test_ties_that_contradict_the_bearing_are_pointed_out() -> None:
    both = Component(kind=TANK, bearing_deg=0, distance_ft=60, tie_a_ft=40, tie_b_ft=50)
    (part,) = place_parts(SITE, [both])
    assert (part.method, part.distance_ft) == (Method.MEASURED, 60)
    assert "20 ft away" in part.note
    wrong = Component(kind=TANK, bearing_deg=0, distance_ft=60, tie_a_ft=4, tie_b_ft=5)
    assert "cannot meet" in place_parts(SITE, [wrong])[0].note


def test_a_position_is_paced_from_the_corner_over_the_ellipsoid() -> None:
    # One second of latitude at 45° is 30.87 m = 101.3 ft: WGS 84's meridian radius there is
    # 6,367,382 m, times pi/648,000 (formula M = a(1-e²)/(1-e² sin² lat)^1.5).
    corner = LonLat(-100, 45)
    there = Component(kind=TANK, lon_lat=LonLat(-100, 45 + 1 / 3600))
    (part,) = place_parts(BARE, [there], corner)
    assert part.method is Method.POSITION
    assert part.distance_ft == pytest.approx(
        6_367_382 * 3.141592653589793 / 648_000 / 0.3048, rel=1e-4
    )
    assert part.bearing_deg == pytest.approx(0, abs=1e-6)


def test_parts_are_numbered_power_first_then_as_the_water_flows() -> None:
    parts = [
        Component(kind=ComponentKind.PURGE_END, label="north"),
        Component(kind=ComponentKind.PUMP_TANK),
        Component(kind=ComponentKind.CONTROL_PANEL),
        Component(kind=TANK),
    ]
    placed = place_parts(BARE, parts)
    assert [part.number for part in placed] == [1, 2, 3, 4]
    assert [part.label for part in placed] == [
        "control panel",
        "septic tank",
        "pump tank",
        "purge end: north",
    ]


def test_every_kind_of_component_has_its_place_in_the_walk() -> None:
    placed = place_parts(BARE, [Component(kind=kind) for kind in ComponentKind])
    assert {part.component.kind for part in placed} == set(ComponentKind)


def test_a_label_that_names_the_kind_stands_alone() -> None:
    assert part_label(Component(kind=TANK, label="Septic tank, inlet lid")) == (
        "Septic tank, inlet lid"
    )
    assert part_label(Component(kind=ComponentKind.LID, label=" ")) == "lid"
