"""Forecast stages in time, beside a search step by step."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.flood.rising import series_of

STAGES = st.lists(st.integers(0, 60).map(lambda n: n / 2), min_size=1, max_size=12)


def by_steps(stages: list[float], wanted: float) -> list[float]:
    """Every thousandth of an hour at which the water stands at the stage or above it."""
    hours = np.arange(0, (len(stages) - 1) * 1000 + 1) / 1000
    level = np.interp(hours, range(len(stages)), stages)
    return hours[level >= wanted - 1e-9].tolist()


@given(STAGES, st.integers(0, 60).map(lambda n: n / 2))
def test_a_stage_is_first_reached_where_a_walk_along_the_series_first_meets_it(stages, wanted):
    found = series_of(np.arange(len(stages)) * 3600.0, stages).first_reached_s([wanted])[0]
    walked = by_steps(stages, wanted)
    if walked:
        assert found == pytest.approx(walked[0] * 3600, abs=4)
    else:
        assert np.isnan(found)


@given(STAGES, st.integers(0, 60).map(lambda n: n / 2))
def test_spans_above_a_stage_hold_every_moment_that_a_walk_finds_there(stages, wanted):
    spans = series_of(np.arange(len(stages)) * 3600.0, stages).spans_above(wanted)
    walked = [hour * 3600 for hour in by_steps(stages, wanted)]
    assert all(any(a - 4 <= s <= b + 4 for a, b in spans) for s in walked)
    length = sum(b - a for a, b in spans)
    assert length == pytest.approx(3.6 * len(walked), abs=8 * (len(spans) + 1))


def test_a_worked_rise_and_fall_has_its_hours():
    # worked by hand: from 10 to 20 ft in 5 hours, back to 12 ft in 4: 14 ft at 2 h and at 8 h
    series = series_of([5 * 3600, 0, 9 * 3600], [20, 10, 12])
    assert series.first_reached_s([14, 10, 20, 20.1, 9]) / 3600 == pytest.approx(
        [2, 0, 5, np.nan, 0], nan_ok=True
    )
    assert np.array(series.spans_above(14)) / 3600 == pytest.approx(np.array([(2, 8)]))
    assert series.spans_above(21) == []
    assert np.array(series.spans_above(5)) / 3600 == pytest.approx(np.array([(0, 9)]))


def test_two_stages_at_one_moment_or_none_at_all_are_refused():
    with pytest.raises(RangeError, match="two stages"):
        series_of([1, 1], [2, 3])
    with pytest.raises(RangeError, match="at least one"):
        series_of([], [])
    with pytest.raises(RangeError, match="no number"):
        series_of([1.0], [np.nan])
