from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.due.months import add_months, in_season, into_season, month_and_day, next_yearly
from registry.due.terms import visits_in_words
from registry.errors import RangeError

days = st.dates(date(1950, 1, 1), date(2100, 12, 31))
month_days = st.dates(date(2024, 1, 1), date(2024, 12, 31)).map(lambda day: f"{day:%m-%d}")


@given(days, st.integers(0, 240))
def test_a_month_more_is_never_earlier(day, months):
    assert add_months(day, months) <= add_months(day, months + 1)


@given(days, st.integers(-120, 240))
def test_the_day_of_the_month_is_kept_or_the_months_last(day, months):
    later = add_months(day, months)
    assert later.day == day.day or (later + timedelta(days=1)).day == 1
    assert (later.year - day.year) * 12 + later.month - day.month == months


def test_many_days_are_moved_like_one():
    many = np.array(["2024-02-29", "NaT", "2024-08-31"], dtype="datetime64[D]")
    moved = add_months(many, np.array([12, 3, 6]))
    assert moved.astype(str).tolist() == ["2025-02-28", "NaT", "2025-02-28"]


def test_a_visit_counts_for_the_yearly_date_within_six_months_after_it():
    assert next_yearly(date(2025, 3, 1), "06-30") == date(2026, 6, 30)
    assert next_yearly(date(2024, 11, 15), "06-30") == date(2025, 6, 30)
    assert next_yearly(date(2025, 7, 5), "06-30") == date(2026, 6, 30)


def test_a_leap_day_each_year_is_28_february_in_other_years():
    assert next_yearly(date(2024, 5, 1), "02-29") == date(2025, 2, 28)


@given(days, month_days)
def test_the_next_yearly_date_comes_six_to_eighteen_months_after_the_visit(day, yearly_by):
    due_on = next_yearly(day, yearly_by)
    assert add_months(day, 6) < due_on <= add_months(day, 18) + timedelta(days=1)


@given(days, month_days, month_days)
def test_a_season_moves_a_date_earlier_only_and_into_the_season(day, begins, ends):
    moved = into_season(day, begins, ends)
    assert moved <= day
    assert in_season(moved, begins, ends) or f"{moved:%m-%d}" == "02-28"
    assert moved == day or not in_season(day, begins, ends)


def test_a_season_over_the_new_year_holds_its_winter_days():
    assert into_season(date(2026, 2, 1), "11-01", "03-31") == date(2026, 2, 1)
    assert into_season(date(2026, 6, 1), "11-01", "03-31") == date(2026, 3, 31)
    assert in_season(date(2026, 12, 24), "11-01", "03-31")
    assert not in_season(date(2026, 6, 1), "11-01", "03-31")


@pytest.mark.parametrize("text", ["6-30", "06-31", "13-01", "june", "", "06-30-1", "02-30"])
def test_a_day_that_no_year_has_is_refused(text):
    with pytest.raises(RangeError, match="Write month and day"):
        month_and_day(text)


@pytest.mark.parametrize(
    ("visits", "words"),
    [
        (1, "1 visit a year"),
        (2, "2 visits a year"),
        (0.5, "1 visit every 2 years"),
        (0.333, "1 visit every 3 years"),
        (0.4, "0.4 visits a year"),
        (1.5, "1.5 visits a year"),
    ],
)
def test_visits_of_an_agreement_are_said_as_people_say_them(visits: float, words: str) -> None:
    assert visits_in_words(visits) == words
