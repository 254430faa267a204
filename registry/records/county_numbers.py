"""What a county counts: shares of overdue systems, and the summary of a year."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True)
class LateShare:
    """Systems of one group: how many, how many overdue, how many of which no date is known.

    ``oldest_due_on`` is the due date of the one that is longest overdue, None where none is.
    ``jurisdiction_id`` is 0 and ``name`` is "" where the group is not made by it.
    """

    jurisdiction_id: int
    name: str
    n: int
    n_overdue: int
    n_undated: int
    oldest_due_on: date | None

    @property
    def share(self) -> float:
        """Overdue systems as a share of those of which a date is known; 0 where none is."""
        known = self.n - self.n_undated
        return self.n_overdue / known if known else 0.0


@dataclass(frozen=True, slots=True)
class MonthShare:
    """Systems overdue at a month's end, of ``n`` with a date, if nobody goes from today on.

    Of past months only what is still overdue counts: what was mended since is not in it.
    """

    month_end: date
    n_overdue: int
    n: int

    @property
    def share(self) -> float:
        """Overdue systems as a share of those with a date; 0 where there are none."""
        return self.n_overdue / self.n if self.n else 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class YearSummary:
    """One calendar year of a scope; every number is counted from rows, none is estimated.

    ``n_installed_unknown`` of ``n_systems`` have no date of installation and are counted in.
    ``n_tasks`` done = ``n_on_time`` + ``n_late`` + ``n_time_unknown``: unknown where no earlier
    visit of the task is on file, or its date does not follow from whole months. ``n_pumped`` pump-
    outs are on file, of ``n_volume_unknown`` no volume is. [gal] for ``pumped_gal``.
    """

    year: int
    until: date
    n_systems: int
    n_installed_unknown: int
    n_by_kind: dict[str, int]
    n_visits: int
    n_systems_visited: int
    n_tasks: int
    n_on_time: int
    n_late: int
    n_time_unknown: int
    n_findings: dict[str, int]
    n_mended: int
    n_serious: int
    n_serious_mended: int
    n_pumped: int
    n_volume_unknown: int
    pumped_gal: float
    n_letters: int
