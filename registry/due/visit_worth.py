"""What a visit is worth, in seconds of driving.

worth = B · early + Σ h · min(days overdue, 365) · s + beyond, over the obligations of the visit,
where

- B is the greatest ``base_worth_s`` of their tasks: a stop is a stop, however many tasks it holds;
- early = 1 from the due date of the most overdue obligation on, before it 1 − days ahead / 60, at
  least 0.25: a visit that is not due yet may wait, and less so each day;
- h is the task's ``late_harm_s_per_day``: the harm of lateness, in seconds of driving a day;
- s = 0.5 for a date that is an estimate, else 1;
- beyond = (36,000 + 400 · min(days beyond grace, 365)) · s of the obligation of which that is most,
  0 while all are within their grace. 36,000 s is more driving than any shift has room for: a visit
  beyond its grace waits only where no route has room. The days on top let the one that has waited
  longest win where there is room for few, so that a far site that takes the time of two near ones
  has its turn too.

Common practice of our own, no source; every figure of a task can be changed in a rule file. One day
more never lowers the worth.
"""

from collections.abc import Iterable, Mapping
from datetime import date

from registry.due.lateness import days_overdue
from registry.due.visit_needs import Needs
from registry.records.visits import Traced
from registry.records.work import Obligation, TaskKind

type Lateness = tuple[int, str, int, bool, int]
"""Site, task, days overdue (negative before the due date), whether the date is an estimate, grace.

Grace is in days.
"""

MOST_LATE_DAYS = 365
"""After a year lateness adds nothing more: the record, not the work, is then what is missing."""
EARLY_DAYS = 60
LEAST_EARLY_SHARE = 0.25
ESTIMATE_SHARE = 0.5
BEYOND_GRACE_S = 36_000
"""Ten hours of driving: more than any shift has room for."""
BEYOND_GRACE_S_PER_DAY = 400
"""After 90 days one visit outweighs two that have just come to the end of their grace."""


def visit_worth(
    obligations: Iterable[Obligation], tasks: Mapping[str, TaskKind], on_date: date
) -> Needs:
    """Return what making a visit on a date is worth, with its parts. [s of driving]."""
    owed = [one for one in obligations if one.due_on is not None and one.task in tasks]
    if not owed:
        return Needs(0.0, ())
    kinds = [tasks[one.task] for one in owed]
    weightiest = max(kinds, key=lambda kind: (kind.base_worth_s, kind.code))
    trace = [Traced(f"A stop for: {weightiest.name}", weightiest.base_worth_s, "task kind")]
    most_overdue = max(_late(one, on_date) for one in owed)
    if most_overdue < 0:
        less = -weightiest.base_worth_s * (1 - _early_share(most_overdue))
        trace.append(Traced(f"Not due for {-most_overdue} days", less, "may wait"))
    for one, kind in zip(owed, kinds, strict=True):
        days = min(_late(one, on_date), MOST_LATE_DAYS)
        if days > 0:
            worth = days * kind.late_harm_s_per_day
            said = f"{kind.late_harm_s_per_day:g} s a day overdue"
            if one.estimated:
                worth, said = worth * ESTIMATE_SHARE, said + ", halved: the date is an estimate"
            trace.append(Traced(f"{kind.name}: {days} days overdue", worth, said))
    beyond = max(_beyond(_late(one, on_date), one.estimated, one.grace_days) for one in owed)
    if beyond > 0:
        trace.append(Traced("Beyond its grace", beyond, "worth whatever there is room for"))
    return Needs(sum(part.value for part in trace), tuple(trace))


def worth_by_site(late: Iterable[Lateness], tasks: Mapping[str, TaskKind]) -> dict[int, float]:
    """Return the worth of the visit of each site, as ``visit_worth`` does but without parts.

    For choosing among tens of thousands of sites before their visits are worked out.
    """
    base: dict[int, float] = {}
    harm: dict[int, float] = {}
    beyond: dict[int, float] = {}
    most_overdue: dict[int, int] = {}
    for site_id, task, days, estimated, grace_days in late:
        kind = tasks.get(task)
        if kind is None:
            continue
        base[site_id] = max(base.get(site_id, 0.0), kind.base_worth_s)
        most_overdue[site_id] = max(most_overdue.get(site_id, days), days)
        if days > 0:
            share = ESTIMATE_SHARE if estimated else 1.0
            more = min(days, MOST_LATE_DAYS) * kind.late_harm_s_per_day * share
            harm[site_id] = harm.get(site_id, 0.0) + more
        most = beyond.get(site_id, 0.0)
        beyond[site_id] = max(most, _beyond(days, estimated, grace_days))
    return {
        site_id: worth * _early_share(most_overdue[site_id])
        + harm.get(site_id, 0.0)
        + beyond[site_id]
        for site_id, worth in base.items()
    }


def _early_share(most_overdue: int) -> float:
    return min(1.0, max(LEAST_EARLY_SHARE, 1 + most_overdue / EARLY_DAYS))


def _beyond(days: int, estimated: bool, grace_days: int) -> float:
    """Return what days overdue count on top once they are beyond the days of grace."""
    if days <= grace_days:
        return 0.0
    worth = BEYOND_GRACE_S + BEYOND_GRACE_S_PER_DAY * min(days - grace_days, MOST_LATE_DAYS)
    return worth * (ESTIMATE_SHARE if estimated else 1.0)


def _late(one: Obligation, on_date: date) -> int:
    return days_overdue(one.due_on or on_date, on_date)
