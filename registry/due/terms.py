"""Which rules speak about one kind of system, and which of them may set the date."""

from collections.abc import Container, Iterable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from registry.records.places import Agreement
from registry.records.systems import PermitCondition
from registry.records.work import IntervalRule

LAW, PERMIT, AGREEMENT, DEFAULT = "law", "permit", "agreement", "default"
BINDING = (LAW, PERMIT, AGREEMENT)
INSPECTION = "inspection"
MONTHS_A_YEAR = 12

PERMIT_CODE, WAIVER_CODE, AGREEMENT_CODE = "permit condition", "waiver", "agreement"
"""Rule codes of terms that come from a system's own file instead of from the rules."""


@dataclass(frozen=True, slots=True)
class Profile:
    """What the choice of rules depends on: many systems share one profile.

    ``places`` holds the jurisdiction's name and the codes of its rule sets.
    """

    kind: str
    components: frozenset[str]
    places: frozenset[str]


@dataclass(frozen=True, slots=True)
class OwnTerms:
    """What one system's own file says: permit conditions, waivers, the agreement in force."""

    conditions: tuple[PermitCondition, ...] = ()
    agreements: tuple[tuple[float, tuple[str, ...]], ...] = ()
    """(visits a year, tasks included; none named = the inspection)."""


NOTHING_OWN = OwnTerms()


@dataclass(frozen=True, slots=True)
class Settled:
    """The rules for one task of one profile.

    ``setting`` may set the date (the earliest of their dates does); ``aside`` are those that apply
    but may not, each with the reason why.
    """

    task: str
    setting: tuple[IntervalRule, ...]
    aside: tuple[tuple[IntervalRule, str], ...] = field(default=())


def places_of(jurisdiction: str, jurisdiction_sets: str, system_sets: str) -> frozenset[str]:
    """Return the words by which rules name where a system is.

    Rule sets are codes parted by commas, such as "WA, WA-CLARK"; a system's own replace those of
    its jurisdiction.
    """
    codes = (system_sets or jurisdiction_sets).split(",")
    return frozenset(filter(None, (jurisdiction.strip(), *(code.strip() for code in codes))))


def is_from(rule: IntervalRule, profile: Profile) -> bool:
    """Tell whether a rule is in force where the system is."""
    return not rule.jurisdiction or rule.jurisdiction in profile.places


def applies(rule: IntervalRule, profile: Profile) -> bool:
    """Tell whether a rule is about systems of this profile."""
    return is_about(rule, profile) and (
        not rule.component_kinds or not profile.components.isdisjoint(rule.component_kinds)
    )


def is_about(rule: IntervalRule, profile: Profile) -> bool:
    """Tell whether a rule is in force for systems of this kind, whatever parts they have."""
    return is_from(rule, profile) and (not rule.system_kinds or profile.kind in rule.system_kinds)


def lacking(rules: Iterable[IntervalRule], profile: Profile) -> dict[str, tuple[str, ...]]:
    """Return the tasks for which a system is known to lack the part, with the parts' kinds.

    The rules say which part a task is for. A part is known to be absent where other parts of the
    system are on file, this one is not, and no rule asks for the task on another ground.
    """
    if not profile.components:
        return {}
    missing: dict[str, set[str]] = {}
    asked = set()
    for rule in rules:
        if applies(rule, profile):
            asked.add(rule.task)
        elif is_about(rule, profile):
            missing.setdefault(rule.task, set()).update(rule.component_kinds)
    return {task: tuple(sorted(kinds)) for task, kinds in missing.items() if task not in asked}


def settle(
    rules: Iterable[IntervalRule], profile: Profile, own: OwnTerms = NOTHING_OWN
) -> dict[str, Settled]:
    """Return for each task the rules that may set its date, binding ones before defaults.

    Law, permit and agreement bind; a default stands only where nothing binds. A waiver sets aside
    the law that it loosens. What is measured always counts, whatever else binds. An agreement
    promises nothing for a part that the system is known to lack.
    """
    rules = tuple(rules)
    absent = lacking(rules, profile)
    by_task: dict[str, list[IntervalRule]] = {}
    for rule in rules:
        if applies(rule, profile):
            by_task.setdefault(rule.task, []).append(rule)
    for rule in _own_rules(own):
        by_task.setdefault(rule.task, []).append(rule)
    return {
        task: _settled(task, these, absent.get(task, ())) for task, these in sorted(by_task.items())
    }


def active_agreements(
    agreements: Iterable[Agreement], today: date, tasks: Container[str]
) -> tuple[tuple[float, tuple[str, ...]], ...]:
    """Return what the agreements in force on a day promise: visits a year and tasks.

    Words in "included" that are no task's code (such as "parts") promise no task.
    """
    return tuple(
        (one.visits_a_year or 0, tuple(sorted(word for word in one.includes if word in tasks)))
        for one in agreements
        if _promises(one) and _runs(one, today)
    )


def agreed_since(
    agreements: Iterable[Agreement], today: date, tasks: Container[str]
) -> dict[str, date]:
    """Return for each task that an agreement in force promises, since when without a break.

    An agreement that follows another on the next day goes on with it: renewing doesn't put a
    promise off.
    """
    newest_first = sorted(
        (one for one in agreements if _promises(one)), key=lambda one: one.starts_on, reverse=True
    )
    since: dict[str, date] = {}
    for one in newest_first:
        for task in {word for word in one.includes if word in tasks} or {INSPECTION}:
            began = since.get(task)
            if _runs(one, today) or (
                began and (one.ends_on is None or one.ends_on + timedelta(1) >= began)
            ):
                since[task] = one.starts_on
    return since


def _promises(one: Agreement) -> bool:
    return one.visits_a_year is not None and one.visits_a_year > 0


def _runs(one: Agreement, on_date: date) -> bool:
    return one.starts_on <= on_date and (one.ends_on is None or one.ends_on >= on_date)


def visits_in_words(visits_a_year: float) -> str:
    """Return ``2 visits a year``, ``1 visit every 3 years``."""
    if 0 < visits_a_year < 1 and abs(1 / visits_a_year - round(1 / visits_a_year)) < 0.02:
        return f"1 visit every {round(1 / visits_a_year)} years"
    return "1 visit a year" if visits_a_year == 1 else f"{visits_a_year:g} visits a year"


def agreement_months(visits_a_year: float) -> int:
    """Return whole months between visits, never fewer visits a year than agreed."""
    return max(1, int(MONTHS_A_YEAR / visits_a_year + 1e-9))


def _own_rules(own: OwnTerms) -> Iterable[IntervalRule]:
    for one in own.conditions:
        yield IntervalRule(
            code=WAIVER_CODE if one.is_waiver else PERMIT_CODE,
            task=one.task,
            months=one.months,
            status=PERMIT,
            waives=LAW if one.is_waiver else "",
            citation=one.citation,
        )
    for visits, tasks in own.agreements:
        for task in tasks or (INSPECTION,):
            yield IntervalRule(
                code=AGREEMENT_CODE,
                task=task,
                months=agreement_months(visits),
                status=AGREEMENT,
                citation=f"Service agreement, {visits_in_words(visits)}",
            )


def _settled(task: str, rules: list[IntervalRule], absent: tuple[str, ...]) -> Settled:
    aside: list[tuple[IntervalRule, str]] = []
    standing = list(rules)
    if absent:
        for rule in [one for one in standing if one.status == AGREEMENT]:
            standing.remove(rule)
            aside.append((rule, f"no {' or '.join(absent)} is among the parts on file"))
    for waiver in [one for one in rules if one.waives]:
        for rule in [one for one in standing if _is_waived(one, waiver)]:
            standing.remove(rule)
            aside.append((rule, f"set aside by {waiver.citation or waiver.code}"))
    if any(one.status in BINDING and not one.by_reading for one in standing):
        for rule in [one for one in standing if one.status == DEFAULT and not one.by_reading]:
            standing.remove(rule)
            aside.append((rule, "a house default stands only where nothing binds"))
    readings = [one for one in standing if one.by_reading]
    if any(one.status in BINDING for one in readings):
        for rule in [one for one in readings if one.status == DEFAULT]:
            standing.remove(rule)
            aside.append((rule, "a house default stands only where nothing binds"))
    return Settled(task, tuple(sorted(standing, key=_strictness)), tuple(aside))


def _is_waived(rule: IntervalRule, waiver: IntervalRule) -> bool:
    """Tell whether a waiver loosens a rule: it names it, or it is the system's own waiver."""
    if rule is waiver or rule.waives:
        return False
    if waiver.waives != LAW:
        return rule.code == waiver.waives
    months = rule.months or (MONTHS_A_YEAR if rule.yearly_by else None)
    return (
        rule.status in {LAW, DEFAULT} and months is not None and months <= (waiver.months or months)
    )


def _strictness(rule: IntervalRule) -> tuple[bool, int, int, str]:
    rank: Mapping[str, int] = {LAW: 0, PERMIT: 1, AGREEMENT: 2, DEFAULT: 3}
    months = rule.months or (MONTHS_A_YEAR if rule.yearly_by else 0)
    return bool(rule.by_reading), months, rank.get(rule.status, 4), rule.code
