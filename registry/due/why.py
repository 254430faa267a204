"""Why an obligation is due when it is: every rule that was looked at, in plain sentences."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date

import numpy as np

from registry.due.lateness import days_overdue
from registry.due.obligations import dates_by, every
from registry.due.terms import Profile, Settled, is_from
from registry.records.work import IntervalRule, Obligation, TaskKind

SOME = 4
"""So many kinds are listed; a longer list is cut."""


@dataclass(frozen=True, slots=True)
class Explained:
    """One task of one system: what is due when, and a sentence for each rule looked at."""

    system: str
    task: str
    obligation: Obligation | None
    headline: str
    sentences: tuple[str, ...]


def explained(
    system: str,
    task: TaskKind,
    obligation: Obligation | None,
    rules: Iterable[IntervalRule],
    profile: Profile,
    settled: Settled | None,
    counted: Mapping[IntervalRule, date | None],
    on_date: date,
) -> Explained:
    """Return the explanation of one task of one system.

    Parameters
    ----------
    system
        The word for the system.
    task, obligation
        The task, and what is owed; None where nothing is.
    rules
        All rules in force for the task, those of other places included.
    profile
        What the choice of rules depends on.
    settled
        Which of them may set the date; None where none applies.
    counted
        The day from which each of these counts.
    on_date
        The day on which it is asked.
    """
    return Explained(
        system=system,
        task=task.code,
        obligation=obligation,
        headline=_headline(task, obligation, settled, on_date),
        sentences=tuple(_sentences(obligation, rules, profile, settled, counted)),
    )


def _headline(
    task: TaskKind, owed: Obligation | None, settled: Settled | None, on_date: date
) -> str:
    if owed is None and settled:
        return f"{task.name}: not owed; {settled.aside[0][1]}."
    if owed is None:
        return f"{task.name}: not owed; no rule asks for it here."
    if owed.due_on is None:
        return f"{task.name}: no date can be said."
    late = days_overdue(owed.due_on, on_date)
    if late > owed.grace_days:
        when = f"{_days(late)} overdue on {on_date}"
    elif late > 0:
        when = f"{_days(late)} past due on {on_date}, within {_days(owed.grace_days)} of grace"
    elif late == 0:
        when = "due that day"
    else:
        when = f"in {_days(-late)} from {on_date}"
    estimate = " (an estimate)" if owed.estimated else ""
    last = f"last done {owed.last_done}" if owed.last_done else "no visit on record"
    return f"{task.name}: due {owed.due_on}{estimate}, {when}; {last}."


def _sentences(
    owed: Obligation | None,
    rules: Iterable[IntervalRule],
    profile: Profile,
    settled: Settled | None,
    counted: Mapping[IntervalRule, date | None],
) -> Iterator[str]:
    setting = settled.setting if settled else ()
    aside = settled.aside if settled else ()
    if owed is not None:
        yield f"Why: {owed.reason}"
    for rule in setting:
        yield _of_setting(rule, owed, counted.get(rule))
    for rule, why in aside:
        yield f"{_name(rule)}: {every(rule).lower()}. Does not set the date: {why}."
    spoken_of = {rule.code for rule in setting} | {rule.code for rule, _ in aside}
    elsewhere = 0
    for rule in rules:
        if rule.code in spoken_of:
            continue
        if not is_from(rule, profile):
            elsewhere += 1
        else:
            yield f"{_name(rule)}: does not apply: {_why_not(rule, profile)}."
    if elsewhere:
        many = "rule does" if elsewhere == 1 else "rules do"
        yield f"Of other rule sets, {elsewhere} {many} not apply here."


def _of_setting(rule: IntervalRule, owed: Obligation | None, counted: date | None) -> str:
    note = f" {rule.note}" if rule.note else ""
    said = f"{_name(rule)}: {every(rule)[0].lower()}{every(rule)[1:]}"
    chosen = owed is not None and owed.rule_code == rule.code and owed.source == _source(rule)
    if counted is None or rule.by_reading:
        ending = "This sets the date." if chosen else "It does not come first."
        return f"{said}. {ending}{note}"
    alone = dates_by(rule, np.array([counted], dtype="datetime64[D]"))[0].item()
    if chosen:
        return f"{said} from {counted}, so {alone}. This sets the date.{note}"
    return f"{said} from {counted}, so {alone}, which is not earlier.{note}"


def _name(rule: IntervalRule) -> str:
    return f"{_source(rule)} ({rule.status})"


def _source(rule: IntervalRule) -> str:
    return rule.citation or rule.code


def _why_not(rule: IntervalRule, profile: Profile) -> str:
    if rule.system_kinds and profile.kind not in rule.system_kinds:
        return f"it is for {_listed(rule.system_kinds)}, and this system is {profile.kind}"
    return f"it is for systems with {_listed(rule.component_kinds)}, and none is on file here"


def _listed(words: tuple[str, ...]) -> str:
    shown = ", ".join(words[:SOME])
    return shown if len(words) <= SOME else f"{shown} and {len(words) - SOME} more kinds"


def _days(count: int) -> str:
    return "1 day" if count == 1 else f"{count} days"
