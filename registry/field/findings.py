"""Kinds of findings, how serious they are, and what the rule set asks once one is made."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import date, datetime, timedelta
from typing import Any

from registry.due.report_rules import hours_rule
from registry.records.gate_visit import FAULT, NOTE, SERIOUS, SERIOUSNESS
from registry.records.reports import ReportRule

CALENDAR_DAYS = {SERIOUS: 1, FAULT: 30}
"""Days until the follow-up visit where no rule says otherwise; common practice, no source."""


@dataclass(frozen=True, slots=True)
class FindingKind:
    """One kind of finding and how serious it is unless somebody says otherwise."""

    kind: str
    seriousness: str
    do_now: str = ""


FINDINGS = {
    one.kind: one
    for one in (
        FindingKind(
            "sewage on the ground",
            SERIOUS,
            "Keep people and animals away. Have the water use cut. Tell the owner now.",
        ),
        FindingKind(
            "back-up into the house",
            SERIOUS,
            "Have the water use stopped. Tell the owner now.",
        ),
        FindingKind(
            "open or broken lid",
            SERIOUS,
            "Do not leave it open: cover, fasten, fence it off. Tell the owner now.",
        ),
        FindingKind(
            "wet panel",
            SERIOUS,
            "Touch nothing. Power off at the source by a qualified person only.",
        ),
        FindingKind("bypass", SERIOUS, "Photograph it and leave it as it is. Tell the office."),
        FindingKind("alarm does not work", FAULT),
        FindingKind("pump or float fault", FAULT),
        FindingKind("tank leaks", FAULT),
        FindingKind("broken or missing baffle", FAULT),
        FindingKind("clogged or broken lateral", FAULT),
        FindingKind("roots or crushed pipe", FAULT),
        FindingKind("runoff, vehicles or building over the field", FAULT),
        FindingKind("high liquid level", FAULT),
        FindingKind("worn part", NOTE),
        FindingKind("something else", NOTE),
    )
}
"""Common practice, no source."""


NO_DUTY = (
    "No number of hours is on file for this rule set: call the authority the same day, it decides "
    "(common practice, no source)."
)


def duty_words(rules: Iterable[ReportRule], seriousness: str, rule_set: str) -> str:
    """Return in words what is asked after a finding, empty for a note."""
    duty = hours_rule(rules, rule_set, seriousness)
    if duty is not None:
        return f"Tell the authority within {duty.hours:g} h ({duty.citation})"
    return NO_DUTY if seriousness == SERIOUS else ""


def report_by(
    rules: Iterable[ReportRule], seriousness: str, rule_set: str, found_at: datetime
) -> datetime | None:
    """Return when the authority must know of a finding; None where no figure is on file."""
    duty = hours_rule(rules, rule_set, seriousness)
    return found_at + timedelta(hours=duty.hours) if duty and duty.hours else None


def follow_up_on(seriousness: str, found_on: date) -> date | None:
    """Return the working day of the visit that a finding asks for; None for a note.

    A serious one is seen to on the next working day, Monday to Friday, a fault within 30 days.
    """
    days = CALENDAR_DAYS.get(seriousness)
    if days is None:
        return None
    on = found_on + timedelta(days=days)
    weekend = max(on.weekday() - 4, 0)
    if not weekend:
        return on
    return on + timedelta(days=3 - weekend) if seriousness == SERIOUS else on - timedelta(weekend)


def findings_json(rules: Sequence[ReportRule], rule_set: str) -> Mapping[str, Any]:
    """Return the kinds of findings and what the rule set asks, as plain JSON values."""
    return {
        "kinds": [asdict(one) for one in FINDINGS.values()],
        "seriousness": SERIOUSNESS,
        "duty": {one: duty_words(rules, one, rule_set) for one in SERIOUSNESS},
    }
