"""On time or late by today's interval; dates from the table of date arithmetic, common practice."""

from datetime import date

import pytest

from registry.due.kept_time import in_time, whole_months

LEAP = date(2024, 2, 29)


def test_months_are_told_from_two_dates_and_clamp_at_the_months_end() -> None:
    assert whole_months(LEAP, date(2025, 2, 28)) == 12
    assert whole_months(date(2023, 10, 31), date(2024, 2, 29)) == 4
    assert whole_months(date(2023, 5, 15), date(2026, 5, 15)) == 36
    assert whole_months(date(2023, 5, 15), date(2026, 5, 16)) is None
    assert whole_months(date(2023, 5, 15), date(2023, 5, 15)) is None


@pytest.mark.parametrize(
    ("done_on", "grace_days", "expected"),
    [
        (date(2025, 2, 28), 0, True),
        (date(2025, 3, 1), 0, False),
        (date(2025, 3, 10), 10, True),
        (date(2025, 3, 11), 10, False),
    ],
)
def test_a_task_is_in_time_to_the_last_day_of_grace(
    done_on: date, grace_days: int, expected: bool
) -> None:
    cycle = date(2025, 3, 1), date(2026, 3, 1)
    assert in_time(done_on, LEAP, *cycle, grace_days) is expected


def test_what_cannot_be_known_is_unknown() -> None:
    cycle = date(2025, 3, 1), date(2026, 3, 1)
    assert in_time(date(2025, 3, 1), None, *cycle, 0) is None
    assert in_time(date(2025, 3, 1), LEAP, None, cycle[1], 0) is None
    assert in_time(date(2025, 3, 1), LEAP, cycle[0], date(2026, 3, 5), 0) is None
