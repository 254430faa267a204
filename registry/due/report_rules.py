"""By when the report of a visit is owed, by the rules of a rule set; nothing is guessed.

Where no rule sets a date, none is told: the authority is to be called.
"""

from collections.abc import Callable, Collection, Iterable
from datetime import date, datetime, timedelta

from registry.records.places import Jurisdiction
from registry.records.reports import Deadline, ReportRule, ReportTo

NOT_ON_FILE = {
    ReportTo.AUTHORITY: "no date on file: call the authority",
    ReportTo.OWNER: "no date on file: see the agreement",
}
"""What to say where no rule sets a date."""


def holds_for(rule: ReportRule, rule_set: str) -> bool:
    """Tell whether a rule holds in a rule set, or in one of several with commas between.

    What "WA" asks holds in "WA-CLARK" too.
    """
    named = rule.rule_set
    sets = [one.strip() for one in rule_set.split(",")]
    return not named or any(one == named or one.startswith(f"{named}-") for one in sets)


def hours_rule(rules: Iterable[ReportRule], rule_set: str, seriousness: str) -> ReportRule | None:
    """Return the rule that sets the fewest hours for telling of a finding; None = not on file."""
    found = _holding(rules, rule_set, lambda one: seriousness in one.seriousness)
    return min(
        (one for one in found if one.hours is not None),
        key=lambda one: one.hours or 0,
        default=None,
    )


def mend_rule(rules: Iterable[ReportRule], rule_set: str, seriousness: str) -> ReportRule | None:
    """Return the rule that sets the fewest days for mending a finding; None = not on file."""
    found = _holding(rules, rule_set, lambda one: seriousness in one.seriousness)
    return min(
        (one for one in found if one.mend_days is not None),
        key=lambda one: one.mend_days or 0,
        default=None,
    )


def report_deadline(
    rules: Iterable[ReportRule],
    place: Jurisdiction,
    to: ReportTo,
    on_date: date,
    done: Collection[str],
    report_by: datetime | None = None,
) -> Deadline:
    """Return by when the report of a visit is owed, the earliest of what is asked.

    Parameters
    ----------
    rules
        All rules on reports.
    place
        Its rule set decides; days entered for the authority itself win over those of the rule set.
    to
        Who gets it.
    on_date
        The date of the visit.
    done
        Codes of the tasks that were done.
    report_by
        The moment at which the authority must know of a finding; None = no finding asks for it.
    """
    days, citation = _days(rules, place, to, done)
    due_on = None if days is None else on_date + timedelta(days=days)
    at = report_by if to is ReportTo.AUTHORITY else None
    return Deadline(on_date=due_on, at=at, citation=citation)


def _days(
    rules: Iterable[ReportRule], place: Jurisdiction, to: ReportTo, done: Collection[str]
) -> tuple[int | None, str]:
    if to is ReportTo.AUTHORITY and place.report_days is not None:
        return place.report_days, f"{place.report_days} days, as entered for {place.name}"
    found = _holding(
        rules, place.rule_set, lambda one: not one.tasks or not set(one.tasks).isdisjoint(done)
    )
    tightest = min(
        (one for one in found if one.to == to and one.days is not None),
        key=lambda one: one.days or 0,
        default=None,
    )
    return (None, "") if tightest is None else (tightest.days, tightest.citation)


def _holding(
    rules: Iterable[ReportRule], rule_set: str, fits: Callable[[ReportRule], bool]
) -> list[ReportRule]:
    return [one for one in rules if holds_for(one, rule_set) and fits(one)]
