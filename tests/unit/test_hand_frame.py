"""What the charts share while a day is changed by hand: axes that only grow, few drawn anew."""

from datetime import timedelta

import pytest

from registry.records.day import Day, Route
from tests.build import at, day, route, stop
from web.hand_frame import Frame, frame_from, frame_of, to_draw

ZONE = "Etc/GMT+8"
NONE = Frame(None, ())


def crew(*ends: int, far_s: float = 600.0) -> Day:
    """A day of routes that end at these hours."""
    return day(
        *(
            route(stop(yard_s=far_s), technician_id=number, returns=at(hour))
            for number, hour in enumerate(ends, 1)
        )
    )


def routes_of(shown: Day) -> list[Route]:
    return list(shown.routes)


def test_a_mark_gives_the_frame_back() -> None:
    frame = frame_of(crew(16, 17), ZONE, NONE)
    assert frame_from(frame.mark) == frame
    assert frame.ids == (1, 2)


@pytest.mark.parametrize("mark", ["", "x", "1_2", "5_5_600_", "5_9_0_1.", "9_5_600_", "²_3_4_"])
def test_a_mark_that_is_none_of_ours_is_no_frame(mark: str) -> None:
    assert frame_from(mark) == NONE


def test_axes_stay_while_they_hold_the_day_and_grow_with_room_to_spare() -> None:
    kept = frame_of(crew(16, 17), ZONE, NONE)
    assert kept.span is not None
    shorter = frame_of(crew(15, 15), ZONE, kept)
    assert shorter.span == kept.span
    longer = frame_of(crew(16, 18), ZONE, kept)
    assert longer.span is not None
    assert longer.span.last == kept.span.last + timedelta(hours=2), "one needed, one to spare"
    assert frame_of(crew(16, 19), ZONE, longer).span == longer.span
    farther = frame_of(crew(16, 17, far_s=5000.0), ZONE, kept)
    assert farther.span is not None
    assert farther.span.most_s >= 5000.0 * 1.05
    assert frame_of(crew(16, 17, far_s=5200.0), ZONE, farther).span == farther.span


def test_only_the_charts_of_who_is_concerned_are_drawn_again() -> None:
    kept = frame_of(crew(*[16] * 9), ZONE, NONE)
    assert to_draw(kept, NONE, {1}) is None
    assert to_draw(kept, kept, {1, 9}) == {0, 2}
    assert to_draw(frame_of(crew(*[18] * 9), ZONE, kept), kept, {1}) is None


def test_who_is_left_without_a_stop_moves_the_lines_after_them() -> None:
    many = crew(*[16] * 12)
    kept = frame_of(many, ZONE, NONE)
    fewer = day(*[one for one in routes_of(many) if one.technician_id != 6], route(technician_id=6))
    assert to_draw(frame_of(fewer, ZONE, kept), kept, {6}) == {1, 2}
    assert frame_of(day(), ZONE, kept) == NONE
