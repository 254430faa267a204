"""Two ties from two marked corners, against plane geometry."""

import math

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.field.ties import Spot, meet_ties, spot_on_side, turn_deg


def test_a_right_triangle_of_3_4_5_is_found_on_both_sides() -> None:
    # Corners 30 ft apart, due east; ties 40 and 50 ft: a right angle at the reference corner
    # (Euclid, Elements I.48), so the part is 40 ft due north or due south.
    left, right = meet_ties(40, 50, 90, 30)
    assert left == pytest.approx((0, 40), abs=1e-9)
    assert right == pytest.approx((180, 40), abs=1e-9)


def test_an_equilateral_triangle_turns_by_sixty_degrees() -> None:
    left, right = meet_ties(20, 20, 0, 20)
    assert left.bearing_deg == pytest.approx(300)
    assert right.bearing_deg == pytest.approx(60)


@given(st.floats(0, 360), st.floats(5, 200), st.floats(-150, 150), st.floats(-150, 150))
@example(0, 5, 1, 0.5)
def test_the_ties_of_any_place_lead_back_to_it(
    corner_b_deg: float, apart_ft: float, east_ft: float, north_ft: float
) -> None:
    corner_b = Spot(corner_b_deg, apart_ft)
    part = Spot(math.degrees(math.atan2(east_ft, north_ft)) % 360, math.hypot(east_ft, north_ft))
    assume(part.distance_ft > 1)
    spots = meet_ties(part.distance_ft, part.apart_ft(corner_b), corner_b_deg, apart_ft)
    off = abs(part.distance_ft * math.sin(math.radians(turn_deg(corner_b_deg, part.bearing_deg))))
    nearest = min(spot.apart_ft(part) for spot in spots)
    # A single spot lies on the corners' line, as far off as the part: a chord of a quarter turn at
    # most, which is at most the square root of two times its height (Euclid, Elements I.47).
    assert nearest <= (1e-3 if len(spots) == 2 else math.sqrt(2) * off + 1e-6)


def test_a_part_on_the_line_of_the_corners_has_one_place() -> None:
    assert meet_ties(10, 20, 45, 30) == (Spot(45, 10),)
    (beyond,) = meet_ties(10, 40, 45, 30)
    assert beyond == Spot(225, 10)


def test_a_tapes_error_is_forgiven_and_more_is_refused_with_the_gap() -> None:
    assert meet_ties(14.5, 15, 90, 30) == (Spot(90, 14.5),)
    with pytest.raises(RangeError, match=r"fall 10\.0 ft short"):
        meet_ties(12, 8, 90, 30)
    with pytest.raises(RangeError, match=r"differ by 20\.0 ft more"):
        meet_ties(60, 10, 90, 30)


@pytest.mark.parametrize(
    "ties",
    [(-1, 5, 90, 30), (5, math.nan, 90, 30), (5, 5, math.nan, 30), (5, 5, 90, 0), (5, 5, 90, -3)],
)
def test_ties_that_are_no_lengths_are_refused(ties: tuple[float, float, float, float]) -> None:
    with pytest.raises(RangeError):
        meet_ties(*ties)


@pytest.mark.parametrize(
    ("side", "rough_deg", "bearing_deg"),
    [
        ("left", None, 0),
        ("Right", None, 180),
        ("north", None, 0),
        ("S", None, 180),
        ("south-east", None, 180),
        ("north side", None, 0),
        ("", 20.0, 0),
        ("", 150.0, 180),
        ("right", 10.0, 180),
    ],
)
def test_a_stated_side_or_a_rough_bearing_settles_it(
    side: str, rough_deg: float | None, bearing_deg: float
) -> None:
    # Reference corner to second corner runs east: left is north, right is south.
    spot = spot_on_side(meet_ties(40, 50, 90, 30), side, rough_deg)
    assert spot is not None
    assert turn_deg(spot.bearing_deg, bearing_deg) == pytest.approx(0, abs=1e-6)


@pytest.mark.parametrize("side", ["", "behind the shed", "east", "west"])
def test_what_names_no_side_leaves_either(side: str) -> None:
    assert spot_on_side(meet_ties(40, 50, 90, 30), side) is None


@given(st.floats(-720, 720), st.floats(-720, 720))
def test_a_turn_is_never_more_than_half_a_circle(start: float, end: float) -> None:
    turn = turn_deg(start, end)
    assert -180 <= turn <= 180
    assert math.isclose(math.sin(math.radians(start + turn - end)), 0, abs_tol=1e-9)
