"""Numbers, dates and moments as people read them."""

from datetime import UTC, date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.errors import ConfigError, RangeError
from registry.records.elevation import Elevation
from registry.records.places import ServiceWindow
from web import present


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (1234567.0, 0, "1,234,567"),
        (-3.25, 1, "−3.2"),
        (-0.04, 1, "0.0"),
        (0.0, 0, "0"),
        (None, 0, "not recorded"),
        (float("nan"), 1, "not recorded"),
        (float("inf"), 1, "not recorded"),
    ],
)
def test_numbers_have_a_true_minus_and_zero_has_no_sign(
    value: float | None, decimals: int, text: str
) -> None:
    assert present.number(value, decimals) == text


@pytest.mark.parametrize(
    ("value", "unit", "text"),
    [
        (12.0, "gpm", "12.0 gpm"),
        (1250.0, "gal", "1,250 gal"),
        (4213.0, "count", "4,213"),
        (0.34, "share", "34 %"),
        (21.4, "gal/in", "21.40 gal per inch"),
        (0.004, "gpm", "0.004 gpm"),
        (-0.5, "ft", "−0.5 ft"),
        (None, "gpm", "not recorded"),
        (3.25, "", "3.25"),
    ],
)
def test_a_value_carries_its_unit(value: float | None, unit: str, text: str) -> None:
    assert present.quantity(value, unit) == text


@given(st.floats(-1e6, 1e6), st.sampled_from(["ft", "gpm", "gal", "in", "psi"]))
def test_a_value_above_a_ten_thousandth_never_reads_as_zero(value: float, unit: str) -> None:
    said = present.quantity(value, unit)
    assert said.endswith(unit)
    if abs(value) >= 0.0051:
        assert any(digit in said for digit in "123456789")


@pytest.mark.parametrize(
    ("length_ft", "text"),
    [
        (12.5, "12 ft 6 in"),
        (11.99, "12 ft"),
        (0.25, "3 in"),
        (0.0, "0 ft"),
        (-2.25, "−2 ft 3 in"),
        (-0.01, "0 ft"),
        (None, "not recorded"),
    ],
)
def test_feet_and_inches_carry_over(length_ft: float | None, text: str) -> None:
    assert present.feet_inches(length_ft) == text


@pytest.mark.parametrize(
    ("length_in", "text"),
    [
        (0.125, "1/8 in"),
        (0.1875, "3/16 in"),
        (7 / 32, "7/32 in"),
        (1.25, "1 1/4 in"),
        (2.0, "2 in"),
        (0.0, "0 in"),
        (1.61, "1.61 in"),
        (None, "not recorded"),
    ],
)
def test_orifices_and_pipes_are_told_in_the_fractions_of_the_trade(
    length_in: float | None, text: str
) -> None:
    # Orifice sizes 1/8, 3/16, 7/32, 1/4 in: University of Minnesota pressure distribution form.
    assert present.inches(length_in) == text


def test_an_elevation_never_stands_without_its_datum() -> None:
    assert present.elevation(Elevation(212.4, "navd 88")) == "212.4 ft NAVD88"
    assert present.elevation(Elevation(212.4, "NP")) == "212.4 ft, datum unknown"
    assert present.elevation(None) == "elevation unknown"


def test_freeboard_says_above_or_below_and_never_rounds_a_fault_away() -> None:
    # Panel bottom 212.4 over BFE 211.0: +1.4 ft (arithmetic).
    assert present.freeboard(212.4 - 211.0) == "+1.4 ft above BFE"
    assert present.freeboard(-0.6) == "−0.6 ft, below BFE"
    assert present.freeboard(-0.01) == "−0.010 ft, below BFE"
    assert present.freeboard(0.0) == "at BFE"
    assert present.freeboard(None) == "height against BFE unknown"
    assert present.freeboard(None, "datums differ") == "height against BFE unknown: datums differ"


@given(st.floats(-50, 50).filter(lambda ft: abs(ft) > 0.0005))
def test_equipment_below_the_flood_is_always_said_to_be_below(freeboard_ft: float) -> None:
    assert ("below" in present.freeboard(freeboard_ft)) == (freeboard_ft < 0)


def test_bearings_have_their_compass_point() -> None:
    # The 16 points lie 22.5 degrees apart (Bowditch, American Practical Navigator; from memory).
    assert present.bearing(140) == "140° SE"
    assert present.bearing(359.8) == "0° N"
    assert present.bearing(11.2) == "11° N"
    assert present.bearing(11.3) == "11° NNE"
    assert present.bearing(None) == "not recorded"


def test_a_pace_is_two_and_a_half_feet() -> None:
    # Common practice, no source.
    assert present.paces(30) == "12 paces"
    assert present.paces(2.5) == "1 pace"


def test_driving_is_told_in_miles_and_minutes() -> None:
    # The international mile is 1,609.344 m exactly (1959 agreement).
    assert present.drive(5149.9, 540) == "3.2 mi, 9 min"
    assert present.miles(100) == "328 ft"
    assert present.miles(321_868.8) == "200 mi"
    assert present.miles(None) == "not recorded"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 min"),
        (20, "under 1 min"),
        (3570, "1 h"),
        (5100, "1 h 25 min"),
        (-600, "−10 min"),
        (None, "not recorded"),
    ],
)
def test_durations_carry_over(seconds: float | None, text: str) -> None:
    assert present.duration(seconds) == text


def test_days_are_told_without_doubt_about_day_and_month() -> None:
    assert present.day(date(2026, 3, 4)) == "4 March 2026"
    assert present.short_day(date(2026, 9, 30)) == "30 Sep 2026"
    assert present.weekday_day(date(2026, 3, 4)) == "Wednesday 4 March 2026"
    assert present.day(None) == "not recorded"


def test_moments_are_told_in_the_countys_zone_over_both_changes_of_the_clock() -> None:
    # US daylight saving time 2026: 8 March 2:00 to 1 November 2:00 (15 U.S.C. 260a; from memory).
    zone = "America/Los_Angeles"
    assert present.clock(datetime(2026, 3, 8, 9, 59, tzinfo=UTC), zone) == "1:59"
    assert present.clock(datetime(2026, 3, 8, 10, 0, tzinfo=UTC), zone) == "3:00"
    first = present.moment_words(datetime(2026, 11, 1, 8, 30, tzinfo=UTC), zone)
    second = present.moment_words(datetime(2026, 11, 1, 9, 30, tzinfo=UTC), zone)
    assert (first, second) == ("1 Nov 2026, 1:30 PDT", "1 Nov 2026, 1:30 PST")


def test_the_time_between_counts_the_hour_that_the_clock_skips() -> None:
    zone = ZoneInfo("America/Los_Angeles")
    start, end = datetime(2026, 3, 8, 1, 0, tzinfo=zone), datetime(2026, 3, 8, 4, 0, tzinfo=zone)
    assert present.between(start, end) == "2 h"


def test_a_moment_of_another_zone_is_brought_over() -> None:
    there = datetime(2026, 7, 1, 18, 5, tzinfo=timezone(timedelta(hours=2)))
    assert present.clock(there, "America/New_York") == "12:05"


def test_a_moment_without_zone_and_a_zone_that_is_none_are_refused() -> None:
    with pytest.raises(RangeError, match="no time zone"):
        present.clock(datetime(2026, 1, 1, 8, 0), "UTC")  # noqa: DTZ001 - the fault under test
    for nonsense in ("Mars/Olympus", "", "../../etc/passwd", "America"):
        with pytest.raises(ConfigError, match="IANA"):
            present.clock(datetime(2026, 1, 1, 8, 0, tzinfo=UTC), nonsense)


def test_equal_service_windows_on_days_in_a_row_stand_in_one_line() -> None:
    windows = [
        *(ServiceWindow(weekday, 9 * 60, 11 * 60) for weekday in (0, 1, 2)),
        ServiceWindow(2, 14 * 60, 16 * 60),
        *(ServiceWindow(weekday, 0, 1440) for weekday in (4, 5)),
    ]
    assert present.week(windows) == [
        "Monday, Tuesday: 9:00–11:00",
        "Wednesday: 9:00–11:00, 14:00–16:00",
        "Friday, Saturday: open all day",
    ]
    assert present.week([]) == []
    every = [ServiceWindow(weekday, 480, 1020) for weekday in range(5)]
    assert present.week(every) == ["Monday to Friday: 8:00–17:00"]


def test_lateness_is_told_from_both_sides() -> None:
    assert present.lateness(12) == "12 days overdue"
    assert present.lateness(1) == "1 day overdue"
    assert present.lateness(0) == "due today"
    assert present.lateness(-5) == "due in 5 days"
    assert present.lateness(None) == "no due date yet"


def test_counts_have_their_plural() -> None:
    assert present.count(1, "site") == "1 site"
    assert present.count(12_500, "site") == "12,500 sites"
    assert present.count(2, "box", "boxes") == "2 boxes"
