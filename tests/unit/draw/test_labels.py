"""Placing words so that none lies on another."""

import math

from hypothesis import given
from hypothesis import strategies as st

from web.draw.labels import Labels, Rect, Segment

FRAME = Rect(0, 0, 100, 100)


def test_words_take_the_first_free_place() -> None:
    labels = Labels(FRAME)
    assert labels.place([Rect(10, 10, 20, 10)]) == Rect(10, 10, 20, 10)
    assert labels.place([Rect(15, 12, 20, 10), Rect(40, 10, 20, 10)]) == Rect(40, 10, 20, 10)


def test_words_that_fit_nowhere_are_left_out() -> None:
    labels = Labels(FRAME)
    labels.take(FRAME)
    assert labels.place([Rect(10, 10, 20, 10), Rect(95, 10, 20, 10)]) is None


def test_words_avoid_a_stroke_where_another_place_is_free() -> None:
    labels = Labels(FRAME, [Segment(0, 15, 100, 15)])
    assert labels.place([Rect(10, 10, 20, 10), Rect(10, 30, 20, 10)]) == Rect(10, 30, 20, 10)


def test_a_stroke_is_measured_inside_a_rectangle_by_plane_geometry() -> None:
    # The diagonal of a 3 by 4 rectangle is 5 (Euclid, Elements I.47).
    assert math.isclose(Segment(-3, -4, 6, 8).length_in(Rect(0, 0, 3, 4)), 5.0)
    assert Segment(0, 20, 10, 20).length_in(Rect(0, 0, 3, 4)) == 0.0
    assert Segment(1, 1, 1, 1).length_in(Rect(0, 0, 3, 4)) == 0.0


boxes = st.builds(Rect, st.floats(-5, 100), st.floats(-5, 100), st.floats(1, 40), st.floats(1, 20))


@given(st.lists(st.lists(boxes, min_size=1, max_size=4), max_size=12))
def test_no_two_placed_words_ever_overlap(wishes: list[list[Rect]]) -> None:
    labels = Labels(FRAME)
    placed = [rect for wish in wishes if (rect := labels.place(wish))]
    for at, one in enumerate(placed):
        assert one.inside(FRAME)
        assert all(one.overlap(other) == 0 for other in placed[:at])
