"""Due dates of many systems at once: rules are chosen once a profile, dates come in arrays."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import partial

import numpy as np

from registry.due.columns import Days, Ints, ObligationBlock, SystemColumns, no_day
from registry.due.months import add_months, into_season, next_yearly
from registry.due.pump_out_date import PumpOut, Tank, pump_out_due
from registry.due.terms import AGREEMENT_CODE, OwnTerms, Profile, Settled, is_about, settle
from registry.records.work import IntervalRule, TaskKind

FROM_VISIT, FROM_INSTALLATION, FROM_NOTHING, FROM_AGREEMENT = range(4)
SINCE = (
    "counted from the last visit",
    "no visit is on record, so counted from the day of installation",
    "no visit is on record and the day of installation is unknown, so due now",
    "no visit is on record, so counted from the first day of the agreement",
)


@dataclass(frozen=True, slots=True, eq=False)
class History:
    """What was done: by task, the newest day for each system, NaT where never; shape (n,).

    ``first_asked`` holds by task the day from which a system without visit and without day of
    installation is due, so that asking again later does not move it.
    """

    last_done: Mapping[str, Days]
    first_asked: Mapping[str, Days]

    def last(self, task: str, n: int) -> Days:
        """Return the last visits of a task."""
        return self.last_done.get(task, no_day(n))

    def asked(self, task: str, n: int) -> Days:
        """Return the days since which a task without any date is due."""
        return self.first_asked.get(task, no_day(n))


def obligations(
    systems: SystemColumns,
    history: History,
    rules: Iterable[IntervalRule],
    tasks: Mapping[str, TaskKind],
    today: date,
    only: frozenset[str] = frozenset(),
) -> list[ObligationBlock]:
    """Return what the systems owe, with the rule behind each date.

    A date counts from the last visit at which the task was done; never done, from the day of
    installation, by an agreement that began later from its first day; with none of these, the task
    is due on the day of asking. The earliest date of the rules that may set one is taken.

    Parameters
    ----------
    systems, history
        The systems as columns, and when each task was last done.
    rules, tasks
        Interval rules and task kinds by code.
    today
        The day of asking; only a task without visit and without day of installation depends on it.
    only
        Tasks to compute, empty for all.
    """
    rules = [rule for rule in rules if not only or rule.task in only]
    groups: dict[tuple[Profile, OwnTerms], list[int]] = {}
    for row, profile in enumerate(systems.profiles):
        groups.setdefault((profile, systems.own_of(row)), []).append(row)
    by_profile: dict[Profile, list[IntervalRule]] = {}
    blocks: dict[tuple[Settled, str], list[int]] = {}
    for (profile, own), rows in groups.items():
        near = by_profile.get(profile)
        if near is None:
            near = by_profile[profile] = [rule for rule in rules if is_about(rule, profile)]
        for task, settled in settle(near, profile, own).items():
            if settled.setting and task in tasks and (not only or task in only):
                blocks.setdefault((_bare(settled), task), []).extend(rows)
    return [
        _block(systems, history, settled, tasks[task], np.array(rows, dtype=np.int64), today)
        for (settled, task), rows in blocks.items()
    ]


def _bare(settled: Settled) -> Settled:
    """Leave out what does not set a date, so that more systems fall into one block."""
    return Settled(settled.task, settled.setting)


def dates_by(rule: IntervalRule, counted_from: Days) -> Days:
    """Return the due dates that one rule alone sets, shape (n,); NaT where nothing is known.

    A season moves a date earlier only, to the end of the season before it, and not to a day on or
    before the one it counts from.
    """
    if rule.months is not None:
        due_on = add_months(counted_from, rule.months)
    elif rule.yearly_by:
        due_on = next_yearly(counted_from, rule.yearly_by)
    else:
        return no_day(len(counted_from))
    if rule.season_from and rule.season_to:
        earlier = into_season(due_on, rule.season_from, rule.season_to)
        due_on = np.where(earlier > counted_from, earlier, due_on)
    return due_on


def counted_by(rule: IntervalRule, last_done: Days, installed: Days, agreed: Days) -> Days:
    """Return the days from which one rule counts, shape (n,); NaT where nothing is known.

    What an agreement promises and nobody has done yet counts from the later of its first day and
    the day of installation: nobody owed it before.
    """
    first = np.fmax(installed, agreed) if rule.code == AGREEMENT_CODE else installed
    return np.where(np.isnat(last_done), first, last_done)


def _block(
    systems: SystemColumns,
    history: History,
    settled: Settled,
    task: TaskKind,
    rows: Ints,
    today: date,
) -> ObligationBlock:
    n = len(systems)
    last_done = history.last(task.clock or task.code, n)[rows]
    installed = systems.installed_on[rows]
    agreed = systems.agreed(task.code)[rows]
    counted = np.where(np.isnat(last_done), installed, last_done)
    emptied = counted
    timed = [rule for rule in settled.setting if not rule.by_reading]
    measured = [rule for rule in settled.setting if rule.by_reading]
    due_on = no_day(len(rows))
    chosen: list[IntervalRule] = [settled.setting[0]] * len(rows)
    reason = [""] * len(rows)
    if timed:
        by_rule = [counted_by(rule, last_done, installed, agreed) for rule in timed]
        due_on, counted, chosen, reason = _by_clock(
            timed, by_rule, last_done, installed, history.asked(task.code, n)[rows], today
        )
    estimated = np.zeros(len(rows), dtype=bool)
    if measured:
        due_of = partial(_pump_out, systems)
        for at, row in enumerate(rows.tolist()):
            found = due_of(row, emptied[at].item())
            if timed and not _comes_first(found, due_on[at]):
                continue
            due_on[at] = np.datetime64(found.due_on or "NaT", "D")
            counted[at], chosen[at] = emptied[at], measured[0]
            estimated[at], reason[at] = found.estimated, found.why
    return ObligationBlock(
        task=task.code,
        rows=rows,
        last_done=last_done,
        counted_from=counted,
        due_on=due_on,
        estimated=estimated,
        rule_code=[rule.code for rule in chosen],
        source=[rule.citation or rule.code for rule in chosen],
        grace_days=[rule.grace_days for rule in chosen],
        horizon_days=[rule.horizon_days for rule in chosen],
        reason=reason,
    )


def _by_clock(
    rules: list[IntervalRule],
    by_rule: list[Days],
    last_done: Days,
    installed: Days,
    asked: Days,
    today: date,
) -> tuple[Days, Days, list[IntervalRule], list[str]]:
    """Return due dates, what each counts from, the rule behind it and why in a sentence."""
    now = np.datetime64(today, "D")
    first_asked = np.where(np.isnat(asked), now, np.minimum(asked, now))
    dates = np.stack([dates_by(rule, days) for rule, days in zip(rules, by_rule, strict=True)])
    candidates = np.where(np.isnat(dates), first_asked, dates)
    which = np.argmin(candidates, 0)
    at = which, np.arange(len(installed))
    counted = np.stack(by_rule)[at]
    case = np.select(
        [~np.isnat(last_done), np.isnat(counted), counted == installed],
        [FROM_VISIT, FROM_NOTHING, FROM_INSTALLATION],
        FROM_AGREEMENT,
    )
    texts = [[sentence(rule, case) for case in range(len(SINCE))] for rule in rules]
    reason = [texts[a][b] for a, b in zip(which.tolist(), case.tolist(), strict=True)]
    return candidates[at], counted, [rules[one] for one in which.tolist()], reason


def sentence(rule: IntervalRule, case: int) -> str:
    """Return what a rule says and from when it counts; ``case`` is an index into ``SINCE``."""
    return f"{every(rule)} by {rule.citation or rule.code} ({rule.status}); {SINCE[case]}."


def every(rule: IntervalRule) -> str:
    """Return a rule's interval in words."""
    if rule.months is not None:
        often = "Every month" if rule.months == 1 else f"Every {rule.months} months"
    elif rule.yearly_by:
        often = f"Each year by {rule.yearly_by}"
    else:
        return "By measured scum and sludge"
    if rule.season_from and rule.season_to:
        often += f", within the season {rule.season_from} to {rule.season_to}"
    return often


def tank_of(systems: SystemColumns, row: int) -> Tank:
    """Return what a pump-out forecast needs to know of one system."""
    return Tank(
        tank_gal=_known(systems.tank_gal[row]),
        people=_known(systems.people[row]),
        bedrooms=_known(systems.bedrooms[row]),
        occupied_share=float(systems.occupied_share[row]),
        trigger=systems.trigger[row],
    )


def _pump_out(systems: SystemColumns, row: int, emptied_on: date | None) -> PumpOut:
    read = systems.solids.get(int(systems.system_id[row])) if systems.solids else None
    if read is None or (emptied_on is not None and read[0] <= emptied_on):
        return pump_out_due(tank_of(systems, row), emptied_on, None, {})
    return pump_out_due(tank_of(systems, row), emptied_on, read[0], read[1])


def _comes_first(found: PumpOut, by_clock: np.datetime64) -> bool:
    """Tell whether solids beat the clock: measured ones that come earlier; estimates never."""
    return (
        not found.estimated
        and found.due_on is not None
        and bool(np.datetime64(found.due_on, "D") < by_clock)
    )


def _known(value: float) -> float | None:
    return None if np.isnan(value) else float(value)
