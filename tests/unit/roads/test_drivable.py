"""Which ways may be driven, which way round, how fast."""

import pytest

from registry.roads.drivable import Drivable, plain_rule, signed_limit_km_h, truck_rule
from registry.units import M_PER_MI


@pytest.mark.parametrize(
    ("tags", "directions"),
    [
        ({"highway": "residential"}, (True, True)),
        ({"highway": "residential", "oneway": "yes"}, (True, False)),
        ({"highway": "residential", "oneway": "1"}, (True, False)),
        ({"highway": "residential", "oneway": "-1"}, (False, True)),
        ({"highway": "residential", "oneway": "no"}, (True, True)),
        ({"highway": "motorway"}, (True, False)),
        ({"highway": "motorway", "oneway": "no"}, (True, True)),
        ({"highway": "tertiary", "junction": "roundabout"}, (True, False)),
    ],
)
@pytest.mark.parametrize("rule", [plain_rule, truck_rule])
def test_directions_follow_the_tags(rule, tags, directions):
    drive = rule(tags)
    assert (drive.forward, drive.backward) == directions


@pytest.mark.parametrize(
    "tags",
    [
        {"highway": "footway"},
        {"highway": "steps"},
        {"building": "yes"},
        {"highway": "residential", "access": "no"},
        {"highway": "track", "motor_vehicle": "forestry"},
        {"highway": "service", "area": "yes"},
        {"highway": "service", "service": "emergency_access"},
        {"highway": "primary", "oneway": "reversible"},
        {},
    ],
)
def test_a_truck_does_not_drive_here(tags):
    assert truck_rule(tags) is None


@pytest.mark.parametrize(
    ("tags", "last_leg"),
    [
        ({"highway": "residential"}, False),
        ({"highway": "service"}, False),
        ({"highway": "service", "access": "private"}, True),
        ({"highway": "residential", "access": "private"}, True),
        ({"highway": "unclassified", "motor_vehicle": "destination"}, True),
        ({"highway": "track"}, True),
        ({"highway": "residential", "access": "no", "motor_vehicle": "yes"}, False),
    ],
)
def test_private_ways_and_tracks_may_only_begin_or_end_a_drive(tags, last_leg):
    assert truck_rule(tags).last_leg is last_leg


def test_the_plain_rule_knows_no_service_road_and_no_private_road():
    assert plain_rule({"highway": "service"}) is None
    assert plain_rule({"highway": "residential", "access": "private"}) is None


def test_a_slow_surface_limits_a_fast_sign():
    assert truck_rule({"highway": "primary", "maxspeed": "100", "surface": "gravel"}) == Drivable(
        40.0, forward=True, backward=True
    )


@pytest.mark.parametrize(
    ("sign", "limit_km_h"),
    [
        ("50", 50.0),
        ("25 mph", 25 * M_PER_MI / 1000),
        ("25mph", 25 * M_PER_MI / 1000),
        ("60 km/h", 60.0),
        ("none", None),
        ("signals", None),
        ("", None),
        ("0", None),
        ("50;30", None),
        ("٥٠", None),
    ],
)
def test_a_signed_limit_is_read_or_left_alone(sign, limit_km_h):
    read_km_h = signed_limit_km_h(sign)
    assert read_km_h == (None if limit_km_h is None else pytest.approx(limit_km_h))
