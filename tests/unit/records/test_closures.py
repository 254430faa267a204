"""When a road is closed, in days and hours."""

from datetime import UTC, date, datetime

import pytest
import shapely

from registry.errors import RangeError
from registry.records.closures import Closure, hours_in, in_force

LINE = shapely.LineString([(0, 0), (1, 1)])
DAY = date(2026, 6, 15)
SHIFTS = [(7 * 60, 15 * 60), (8 * 60, 17 * 60)]


def closed(**fields):
    return Closure(**{"name": "Low Road", "shape": LINE, "first_on": DAY} | fields)


@pytest.mark.parametrize(
    ("closure", "holds"),
    [
        (closed(), True),
        (closed(first_on=date(2026, 6, 16)), False),
        (closed(first_on=date(2026, 6, 1), last_on=DAY), True),
        (closed(first_on=date(2026, 6, 1), last_on=date(2026, 6, 14)), False),
        (closed(lifted_at=datetime(2026, 6, 15, tzinfo=UTC)), False),
    ],
)
def test_a_closure_holds_from_its_first_day_to_its_last_until_it_is_lifted(closure, holds):
    assert closure.holds_on(DAY) is holds


@pytest.mark.parametrize(
    ("hours", "counts"),
    [
        ("08:00-12:00", True),
        ("16:59-17:30", True),
        ("17:00-23:00", False),
        ("05:00-07:00", False),
        ("22:00-06:00", False),
        ("22:00-07:01", True),
        ("16:00-06:00", True),
    ],
)
def test_hours_count_if_they_fall_into_anybodys_shift(hours, counts):
    one = closed(hours=hours_in(hours))
    assert bool(in_force([one], DAY, SHIFTS)) is counts


def test_without_anybody_on_duty_only_whole_days_are_in_force():
    assert in_force([closed(), closed(hours=(480, 720))], DAY, []) == (closed(),)


@pytest.mark.parametrize(
    ("text", "hours"),
    [
        ("08:00-12:00", (480, 720)),
        (" 8:30 – 9:00 ", (510, 540)),
        ("22:00-24:00", (1320, 1440)),
        ("22:00-05:15", (1320, 315)),
    ],
)
def test_hours_are_read_as_people_write_them(text, hours):
    assert hours_in(text) == hours


@pytest.mark.parametrize("text", ["", "8-12", "08:60-12:00", "25:00-26:00", "08:00", "24:01-25:00"])
def test_what_is_no_hours_is_refused(text):
    with pytest.raises(RangeError, match="names no hours"):
        hours_in(text)


def test_hours_that_end_as_they_begin_are_refused():
    with pytest.raises(RangeError, match="begins when it ends"):
        hours_in("08:00-08:00")


def test_when_it_is_closed_is_said_in_words():
    assert closed().when() == "from 2026-06-15 until further notice"
    assert closed(last_on=DAY, hours=(480, 720)).when() == "on 2026-06-15, 08:00–12:00"
    assert closed(last_on=date(2026, 6, 20)).when() == "from 2026-06-15 to 2026-06-20"
