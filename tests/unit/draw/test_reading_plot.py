"""The small plot of readings and its table."""

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.draw.reading import (
    SVG,
    assert_stands_alone_and_is_named,
    description,
    read,
    said,
    title,
)
from web.draw.reading_plot import (
    NO_LIMITS,
    Limits,
    PlotPoint,
    plot_table,
    reading_plot,
    value_ticks,
)

SERIES = [
    PlotPoint(date(2025, 5, 1), 212.0, superseded=True),
    PlotPoint(date(2025, 5, 1), 21.2, note="typed wrong at first"),
    PlotPoint(date(2023, 5, 3), 24.0),
    PlotPoint(date(2026, 4, 20), 18.6),
]


def test_the_plot_stands_alone_and_tells_its_last_value() -> None:
    svg = reading_plot(SERIES, "gpm", "Drawdown rate", Limits(20, None))
    assert_stands_alone_and_is_named(svg)
    assert title(svg) == "Drawdown rate"
    assert "18.6 gpm" in said(svg)
    assert "under the limit" in said(svg)
    assert description(svg) == (
        "3 readings from 3 May 2023 to 20 Apr 2026, between 18.6 gpm and 24.0 gpm; the last is "
        "18.6 gpm, under the limit. 1 superseded and crossed out."
    )


def line_of(svg: str) -> list[str]:
    """Return the points that are joined."""
    (drawn,) = read(svg).iter(f"{SVG}polyline")
    points: list[str] = (drawn.get("points") or "").split()
    return points


def test_a_superseded_value_is_struck_out_not_joined_and_sets_no_scale() -> None:
    svg = reading_plot(SERIES, "gpm", "Drawdown rate")
    assert len(line_of(svg)) == 3
    assert "212.0 gpm" in said(svg)
    without = reading_plot(SERIES[1:], "gpm", "Drawdown rate")
    assert line_of(svg) == line_of(without)


def test_readings_are_joined_in_order_of_their_days() -> None:
    across = [float(point.split(",")[0]) for point in line_of(reading_plot(SERIES, "gpm", "t"))]
    assert across == sorted(across)


def test_no_reading_and_one_reading_are_pictures_too() -> None:
    empty = reading_plot([], "in", "Scum depth")
    assert_stands_alone_and_is_named(empty)
    assert "No reading yet." in said(empty)
    one = reading_plot([(date(2026, 1, 2), 3.0)], "in", "Scum depth")  # type: ignore[list-item]  # pairs do
    assert "3.0 in" in said(one)
    assert not list(read(one).iter(f"{SVG}polyline"))


def test_values_that_are_not_numbers_are_left_out() -> None:
    odd = [PlotPoint(date(2026, 1, 2), float("nan")), PlotPoint(date(2026, 1, 3), float("inf"))]
    assert "No reading yet." in said(reading_plot(odd, "in", "t"))
    assert plot_table(odd, "in") == ()


def test_a_series_that_is_superseded_whole_says_so() -> None:
    svg = reading_plot([PlotPoint(date(2026, 1, 2), 4.0, superseded=True)], "in", "t")
    assert_stands_alone_and_is_named(svg)
    assert description(svg).startswith("All readings are superseded.")


@given(
    st.lists(st.floats(-1e6, 1e6), min_size=1, max_size=9),
    st.sampled_from([NO_LIMITS, Limits(0, None), Limits(None, 30), Limits(-5, 5)]),
)
def test_the_scale_holds_every_value_on_round_marks(values: list[float], limits: Limits) -> None:
    ticks = value_ticks(values, limits)
    held = [*values, *(limit for limit in limits if limit is not None)]
    room = 1e-6 * max(1.0, *(abs(one) for one in held))
    assert ticks[0] <= min(held) + room
    assert max(held) - room <= ticks[-1]
    assert 2 <= len(ticks) <= 6
    steps = [after - before for before, after in pairwise(ticks)]
    assert steps == pytest.approx([steps[0]] * len(steps), rel=1e-3)


def test_the_table_tells_the_newest_first_with_its_change() -> None:
    rows = plot_table(SERIES, "gpm", Limits(20, 30))
    assert [row.value for row in rows] == ["18.6 gpm", "21.2 gpm", "212.0 gpm", "24.0 gpm"]
    # (18.6 - 21.2) / 21.2 = -12.3 %; (21.2 - 24) / 24 = -11.7 %
    assert [row.change for row in rows] == ["−12 %", "−12 %", "", ""]
    assert rows[1].note == "typed wrong at first"
    assert [row.superseded for row in rows] == [False, False, True, False]
    assert [row.outside for row in rows] == [True, False, True, False]
