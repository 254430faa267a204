"""Numbers for the county: shares of overdue systems now and by month, and a year's summary."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from registry.due.kept_time import in_time
from registry.due.months import add_months
from registry.errors import RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.county_numbers import LateShare, MonthShare, YearSummary
from registry.records.gate_visit import SERIOUS
from registry.store import Session, overdue_counts, places, year_counts
from registry.store.scope import scope_of

ACT = "see the numbers"
MONTHS_BACK = MONTHS_AHEAD = 12
"""Months of the plot before and after this one."""
FIRST_YEAR = 1950


@dataclass(frozen=True, slots=True, kw_only=True)
class CountyNumbers:
    """Shares of overdue systems by jurisdiction, system type and month, as a viewer sees them."""

    on_date: date
    n: int
    n_overdue: int
    n_undated: int
    jurisdictions: tuple[LateShare, ...]
    kinds: tuple[LateShare, ...]
    months: tuple[MonthShare, ...]


def county_numbers(session: Session, viewer: Viewer, on_date: date) -> CountyNumbers:
    """Return the shares of overdue systems on a date, the largest share first.

    Raises
    ------
    AccessError
        If the role may not see the numbers.
    """
    require(viewer, ACT)
    scope = scope_of(viewer)
    names = {one.id: one.name for one in places.jurisdictions(session)}
    found = overdue_counts.late_shares(session, scope, on_date, "kind")
    by_place = _added(replace(one, name=names[one.jurisdiction_id]) for one in found)
    by_kind = _added(replace(one, jurisdiction_id=0) for one in found)
    return CountyNumbers(
        on_date=on_date,
        n=sum(one.n for one in by_kind),
        n_overdue=sum(one.n_overdue for one in by_kind),
        n_undated=sum(one.n_undated for one in by_kind),
        jurisdictions=tuple(sorted(by_place, key=_worst_first)),
        kinds=tuple(sorted(by_kind, key=_worst_first)),
        months=_by_month(overdue_counts.due_dates(session, scope, on_date), on_date),
    )


def _added(found: Iterable[LateShare]) -> list[LateShare]:
    """Add up the groups that have the same jurisdiction and name."""
    sums: dict[tuple[int, str], LateShare] = {}
    for one in found:
        key = one.jurisdiction_id, one.name
        before = sums.get(key)
        sums[key] = one if before is None else _sum(before, one)
    return list(sums.values())


def _sum(one: LateShare, other: LateShare) -> LateShare:
    known = [day for day in (one.oldest_due_on, other.oldest_due_on) if day is not None]
    return replace(
        one,
        n=one.n + other.n,
        n_overdue=one.n_overdue + other.n_overdue,
        n_undated=one.n_undated + other.n_undated,
        oldest_due_on=min(known, default=None),
    )


def _worst_first(one: LateShare) -> tuple[float, str]:
    return -one.share, one.name


def _by_month(dates: list[tuple[date | None, int, int]], on_date: date) -> tuple[MonthShare, ...]:
    first = on_date.replace(day=1)
    ends = [
        add_months(first, month + 1) - timedelta(days=1)
        for month in range(-MONTHS_BACK, MONTHS_AHEAD + 1)
    ]
    known = [(due + timedelta(days=grace), n) for due, grace, n in dates if due is not None]
    total = sum(n for _, n in known)
    return tuple(MonthShare(end, sum(n for last, n in known if last < end), total) for end in ends)


def year_summary(session: Session, viewer: Viewer, year: int, on_date: date) -> YearSummary:
    """Return what is on file of a calendar year, of this one until a date.

    Raises
    ------
    AccessError
        If the role may not see the numbers.
    RangeError
        If the year is to come, or before any visit can be on file.
    """
    require(viewer, ACT)
    if not FIRST_YEAR <= year <= on_date.year:
        raise RangeError(f"Choose a year from {FIRST_YEAR} to {on_date.year}.")
    scope = scope_of(viewer)
    first, last = date(year, 1, 1), min(date(year, 12, 31), on_date)
    kinds = year_counts.inventory_by_kind(session, scope, last)
    n_visits, n_systems_visited = year_counts.visits_made(session, scope, first, last)
    done = Counter(in_time(*one) for one in year_counts.tasks_done(session, scope, first, last))
    findings = year_counts.findings_made(session, scope, first, last)
    n_pumped, n_known, pumped_gal = year_counts.pumped(session, scope, first, last)
    return YearSummary(
        year=year,
        until=last,
        n_systems=sum(n for n, _ in kinds.values()),
        n_installed_unknown=sum(unknown for _, unknown in kinds.values()),
        n_by_kind={kind: n for kind, (n, _) in kinds.items()},
        n_visits=n_visits,
        n_systems_visited=n_systems_visited,
        n_tasks=done.total(),
        n_on_time=done[True],
        n_late=done[False],
        n_time_unknown=done[None],
        n_findings={seriousness: n for seriousness, n, _ in findings},
        n_mended=sum(mended for _, _, mended in findings),
        n_serious=sum(n for seriousness, n, _ in findings if seriousness == SERIOUS),
        n_serious_mended=sum(n for seriousness, _, n in findings if seriousness == SERIOUS),
        n_pumped=n_pumped,
        n_volume_unknown=n_pumped - n_known,
        pumped_gal=pumped_gal,
        n_letters=year_counts.letters_written(session, scope, first, last),
    )
