"""The pace dial, its signs and its table."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.field.place import place_parts
from registry.records.places import Site
from registry.records.systems import Component, ComponentKind
from tests.unit.draw.reading import assert_stands_alone_and_is_named, description, said
from web.draw.dial_parts import DialPart, dial_parts, dial_table
from web.draw.dial_scale import dial_scale
from web.draw.dial_signs import sign
from web.draw.ink import WATER
from web.draw.pace_dial import Corner, number_words, pace_dial

PANEL = DialPart("control panel", 300, 62, 4.1, "control panel")
TANK = DialPart("septic tank", 140, 30, -0.6, "septic tank")
LOST = DialPart("vent", None, None, None, "vent", note="Its place is not on file.")
CORNER = Corner("north-east corner of the house")


def test_the_dial_stands_alone_and_tells_every_part() -> None:
    svg = pace_dial([PANEL, TANK, LOST], CORNER, Corner("the other corner", 180, 40))
    assert_stands_alone_and_is_named(svg)
    told = description(svg)
    assert told.startswith("From north-east corner of the house: ")
    assert "1 control panel, 300° WNW · 62 ft · 25 paces, +4.1 ft above BFE" in told
    assert "2 septic tank, 140° SE · 30 ft · 12 paces, −0.6 ft, below BFE" in told
    assert "3 vent, not placed" in told


def test_bearings_run_clockwise_from_true_north_up() -> None:
    scale = dial_scale([100], 186)
    # Plane geometry: east is right, south is down on the page.
    for bearing, right, down in ((0, 0, -1), (90, 1, 0), (180, 0, 1), (270, -1, 0)):
        x, y = scale.place(bearing, scale.most_ft)
        assert (x, y) == pytest.approx((186 * right, 186 * down), abs=1e-9)


@given(st.lists(st.floats(0, 3000), min_size=1, max_size=30))
def test_every_part_lies_inside_the_outer_ring(distances_ft: list[float]) -> None:
    scale = dial_scale(distances_ft, 186)
    assert all(scale.reach(ft) <= 186 + 1e-6 for ft in distances_ft)
    assert scale.reach(scale.rings_ft[-1]) == pytest.approx(186)
    assert list(scale.rings_ft) == sorted(scale.rings_ft)


def test_rings_are_even_unless_one_part_lies_far_off_and_then_it_is_said() -> None:
    near = dial_scale([30, 46, 62, 96], 186)
    assert near.is_even
    assert near.rings_ft == (20, 40, 60, 80, 100)
    far = [DialPart(f"lid {n}", 40 * n, 10 + n, kind="lid") for n in range(8)]
    far.append(DialPart("drainfield", 10, 390, kind="drainfield"))
    told = said(pace_dial(far))
    assert any("not evenly apart" in row for row in told)
    assert not any("not evenly apart" in row for row in said(pace_dial([PANEL])))


def test_the_numbers_of_the_dial_are_those_of_the_table() -> None:
    parts = [PANEL, TANK, LOST]
    rows = dial_table(parts)
    assert [row.number for row in rows] == [1, 2, 3]
    shown = said(pace_dial(parts, legend=False))
    assert "1" in shown
    assert "2" in shown
    assert "3" not in shown
    assert (rows[1].bearing, rows[1].distance, rows[1].paces) == ("140° SE", "30 ft", "12 paces")
    assert rows[1].is_below_bfe
    assert (rows[2].bearing, rows[2].distance, rows[2].note) == (
        "not placed",
        "",
        "Its place is not on file.",
    )


def test_parts_in_one_place_share_a_sign_with_all_their_numbers() -> None:
    same = [DialPart(f"part {n}", 90, 50, kind="pump") for n in range(3)]
    assert "1–3" in said(pace_dial(same, legend=False))


@pytest.mark.parametrize(
    ("numbers", "text"),
    [([1], "1"), ([1, 2], "1, 2"), ([3, 4, 5], "3–5"), ([1, 3, 4, 5, 9], "1, 3–5, 9"), ([], "")],
)
def test_runs_of_numbers_are_told_short(numbers: list[int], text: str) -> None:
    assert number_words(numbers) == text


def test_two_possible_places_are_both_drawn_broken() -> None:
    either = DialPart("well", 0, 40, kind="monitoring well", other_bearing_deg=180)
    svg = pace_dial([either], legend=False)
    assert said(svg).count("1") == 2
    assert svg.count('stroke-dasharray="2.4 1.8"') == 2
    assert dial_table([either])[0].bearing == "0° N or 180° S"


def test_below_the_base_flood_elevation_is_told_by_shape_not_by_colour_alone() -> None:
    dry, wet = sign(0, 0, "lid"), sign(0, 0, "lid", is_below_bfe=True)
    assert WATER not in dry
    assert wet.count("<path") == dry.count("<path") + 1


def test_every_kind_of_component_has_a_sign() -> None:
    placed = place_parts(
        Site(key="R-1"),
        [Component(kind=kind, bearing_deg=20, distance_ft=9) for kind in ComponentKind],
    )
    for part in dial_parts(placed):
        assert sign(0, 0, part.kind)
    assert_stands_alone_and_is_named(pace_dial(dial_parts(placed)))


def test_a_dial_without_parts_says_so() -> None:
    assert "No part has a place on file yet." in said(pace_dial([]))
    assert "No part has a place on file yet." in said(pace_dial([LOST]))
    assert dial_table([]) == ()


def test_sixty_parts_keep_their_numbers_apart() -> None:
    crowd = [
        DialPart(f"part {n}", (n * 137.5) % 360, 10 + 80 * math.sqrt(n / 60), kind="lid")
        for n in range(60)
    ]
    svg = pace_dial(crowd, CORNER)
    assert_stands_alone_and_is_named(svg)
    shown = set(said(pace_dial(crowd, legend=False)))
    assert sum(str(n) in shown for n in range(1, 61)) >= 50


def test_names_from_outside_are_text() -> None:
    evil = DialPart("<script>x</script>", 1, 2, kind='"><x>', note="&amp; <b>")
    assert_stands_alone_and_is_named(pace_dial([evil], Corner("<i>", None), Corner("&", 3, 4)))
