"""docs/day.md says of a day what the program does: words, limits, worth, settings."""

import re
import tomllib
from datetime import date, timedelta

import pytest

from registry.cli.plan import DEFAULT_S
from registry.due.rules_file import read_rules
from registry.due.visit_worth import (
    BEYOND_GRACE_S,
    BEYOND_GRACE_S_PER_DAY,
    EARLY_DAYS,
    LEAST_EARLY_SHARE,
    MOST_LATE_DAYS,
    visit_worth,
)
from registry.plan.check import BreachKind
from registry.plan.from_records import TWO_PERSON_CREW
from registry.plan.why import MOST_ROUTES_ASKED
from registry.plan.words import WhyWord
from registry.records.work import IntervalRule, Obligation
from tests.docs.tables import ROOT, rows

PAGE = (ROOT / "docs/day.md").read_text(encoding="utf-8")
DEFAULTS = (ROOT / "registry/due/defaults.toml").read_text(encoding="utf-8")
TASKS = read_rules(DEFAULTS, "defaults.toml").tasks
ON = date(2026, 6, 9)
OWED = re.compile(
    r"(?P<task>[a-z -]+), (?:due (?P<today>today)|due in (?P<ahead>\d+) days"
    r"|(?P<late>\d+) days overdue(?P<estimate> by estimate)?)"
)


def owed(text: str) -> Obligation:
    """Return the obligation that a phrase such as “filter, 3 days overdue” speaks of."""
    said = OWED.fullmatch(text.strip())
    assert said, text
    days = int(said["late"] or 0) - int(said["ahead"] or 0)
    return Obligation(
        system_id=1,
        site_id=1,
        task=said["task"],
        due_on=ON - timedelta(days=days),
        estimated=bool(said["estimate"]),
    )


def test_the_words_for_waiting_are_those_of_the_program() -> None:
    assert [word for word, *_ in rows("docs/day.md", "word")] == [word.value for word in WhyWord]


def test_the_limits_are_those_of_the_check() -> None:
    assert {limit for limit, _ in rows("docs/day.md", "limit")} == set(BreachKind)


def test_the_worth_of_each_task_is_the_shipped_one() -> None:
    shipped: dict[str, dict[str, float]] = tomllib.loads(DEFAULTS)["tasks"]
    said = {task: (float(base), float(harm)) for task, base, harm in rows("docs/day.md", "task")}
    assert said == {
        code: (body["base_worth_s"], body["late_harm_s_per_day"])
        for code, body in shipped.items()
        if "base_worth_s" in body
    }


@pytest.mark.parametrize(("visit", "worth", "justifies"), rows("docs/day.md", "visit"))
def test_the_examples_are_worth_what_they_say(visit: str, worth: str, justifies: str) -> None:
    found = visit_worth([owed(one) for one in visit.split(";")], TASKS, ON).total
    assert found == float(worth)
    if minutes := re.match(r"(\d+) (min|h)\b", justifies):
        assert found == float(minutes[1]) * {"min": 60, "h": 3600}[minutes[2]]


def test_the_numbers_in_the_text_are_the_constants_of_the_program() -> None:
    assert f"1 − days ahead / {EARLY_DAYS}, at least {LEAST_EARLY_SHARE:g}" in PAGE
    assert f"min(days overdue, {MOST_LATE_DAYS})" in PAGE
    beyond = (
        f"{BEYOND_GRACE_S} + {BEYOND_GRACE_S_PER_DAY} · min(days beyond grace, {MOST_LATE_DAYS})"
    )
    assert beyond in PAGE
    assert f"| search time | `--seconds` | {DEFAULT_S:g} s |" in PAGE
    assert f"{IntervalRule(code='', task='').horizon_days} days unless the rule says" in PAGE
    assert f"`{TWO_PERSON_CREW}`" in PAGE
    assert MOST_ROUTES_ASKED == 4
    assert "(at most four)" in PAGE.replace("\n", " ")
