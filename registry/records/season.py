"""A season that was made: the week of every visit of a year."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonVisit:
    """A visit and the week it is put into, by its Monday.

    ``due_on`` is the date of the rule; None for a later visit of the year, which counts from the
    one before. ``late``: overdue before the season began. ``in_barred_week``: its due date leaves
    it no week outside wet weeks, off-season or soft ground. ``promised_at`` is when its owner was
    told.
    """

    id: int = 0
    site_id: int
    site: str = ""
    town: str = ""
    week_on: date
    due_on: date | None
    tasks: tuple[str, ...]
    minutes: int
    late: bool = False
    in_barred_week: bool = False
    promised_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeSeason:
    """A season; ``told`` holds its figures and notes as they were told when it was made."""

    id: int = 0
    firm_id: int
    first_on: date
    n_weeks: int
    made_at: datetime
    told: Mapping[str, object] = field(default_factory=dict)
    visits: tuple[SeasonVisit, ...] = ()
