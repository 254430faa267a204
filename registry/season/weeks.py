"""Weeks as dates: which week is wholly before a due date, which lie in a part of the year."""

from dataclasses import dataclass
from datetime import date, timedelta

from registry.due.months import in_season

DAYS_A_WEEK = 7
LAST_WORKDAY = 4
"""Friday: a week is wholly before a date once its last workday is."""
DAYS_A_MONTH = 30.4375
SHORTEST_DAYS = (0, 28, 59, 89, 120, 150, 181, 212, 242, 273, 303, 334)
"""Days of the shortest run of 0 to 11 months, February among them."""


@dataclass(frozen=True, slots=True)
class Calendar:
    """A season's weeks: ``first_on`` is the Monday of the first."""

    first_on: date
    n_weeks: int

    def monday(self, week: int) -> date:
        """Return the Monday of a week."""
        return self.first_on + timedelta(days=DAYS_A_WEEK * week)

    def week_of(self, day: date) -> int:
        """Return the week in which a day lies; below 0 before the season."""
        return (day - self.first_on).days // DAYS_A_WEEK

    def due_week(self, due_on: date, today: date) -> int:
        """Return the last week wholly before a due date; what falls due this week is in it."""
        week = ((due_on - self.first_on).days - LAST_WORKDAY) // DAYS_A_WEEK
        return max(week, 0) if due_on >= today else min(week, -1)

    def inside(self, first_day: str, last_day: str) -> int:
        """Return the weeks whose workdays all lie in a part of the year, "MM-DD" both."""
        answer = 0
        for week in range(self.n_weeks):
            monday = self.monday(week)
            friday = monday + timedelta(days=LAST_WORKDAY)
            if in_season(monday, first_day, last_day) and in_season(friday, first_day, last_day):
                answer |= 1 << week
        return answer

    def touching(self, first_day: str, last_day: str) -> int:
        """Return the weeks of which a workday lies in a part of the year, "MM-DD" both."""
        answer = 0
        for week in range(self.n_weeks):
            days = (self.monday(week) + timedelta(days=k) for k in range(LAST_WORKDAY + 1))
            if any(in_season(day, first_day, last_day) for day in days):
                answer |= 1 << week
        return answer

    @property
    def every(self) -> int:
        """All weeks."""
        return (1 << self.n_weeks) - 1


def calendar_from(today: date, n_weeks: int) -> Calendar:
    """Return so many weeks, from the Monday of the week that holds a day."""
    return Calendar(today - timedelta(days=today.weekday()), n_weeks)


def steps_of(months: int) -> int:
    """Return how many weeks after a visit the next may be at the latest, whatever the weekdays.

    A visit on a Monday is followed by one on a Friday at the latest, within the shortest run of so
    many months: 3 months 12 weeks, 6 months 25, 12 months 51.
    """
    years, rest = divmod(months, 12)
    days = 365 * years + SHORTEST_DAYS[rest]
    return max(1, (days - LAST_WORKDAY) // DAYS_A_WEEK)


def months_between(counted_from: date, due_on: date) -> int:
    """Return the whole months of an interval, at least one."""
    return max(1, round((due_on - counted_from).days / DAYS_A_MONTH))
