"""By when a report is owed: figures of the rules' own texts, and what a rules file may say."""

from datetime import UTC, date, datetime, timedelta

import pytest

from registry.due.report_rules import hours_rule, mend_rule, report_deadline
from registry.due.rules_file import read_rules
from registry.errors import ConfigError
from registry.records.gate_visit import FAULT, NOTE, SERIOUS
from registry.records.places import Jurisdiction
from registry.records.reports import Deadline, ReportTo
from registry.store.rules import shipped

ASKED = tuple(shipped().reports.values())
VISIT = date(2026, 6, 15)
AUTHORITY, OWNER = ReportTo.AUTHORITY, ReportTo.OWNER


def place(rule_set: str, report_days: int | None = None) -> Jurisdiction:
    """An invented authority under a rule set."""
    return Jurisdiction(name="Invented County", rule_set=rule_set, report_days=report_days)


def owed(rule_set: str, to: ReportTo = AUTHORITY, *done: str) -> Deadline:
    """By when the report of a visit is owed."""
    return report_deadline(ASKED, place(rule_set), to, VISIT, done)


@pytest.mark.parametrize(
    ("rule_set", "to", "done", "due_on"),
    [
        # Clark County Code 24.17.180: report in 15 days
        ("WA-CLARK", AUTHORITY, ("inspection",), date(2026, 6, 30)),
        ("WA, WA-CLARK", AUTHORITY, ("inspection",), date(2026, 6, 30)),
        # Wis. Admin. Code SPS 383.55(3): in 30 days
        ("WI", AUTHORITY, ("inspection",), date(2026, 7, 15)),
        # 15A NCAC 18E .1304: a copy in 30 days, to owner and health department
        ("NC", AUTHORITY, ("inspection",), date(2026, 7, 15)),
        ("NC", OWNER, ("inspection",), date(2026, 7, 15)),
        # 310 CMR 15.351: the pumper's form in 14 days
        ("MA", AUTHORITY, ("inspection", "pump-out"), date(2026, 6, 29)),
        ("MA", AUTHORITY, ("inspection",), None),
        # Minn. R. 7083.0770: the pumper's report to the owner in 30 days
        ("MN", OWNER, ("pump-out",), date(2026, 7, 15)),
        ("MN", AUTHORITY, ("pump-out",), None),
        # no days were read in these rules' texts
        ("WA", AUTHORITY, ("inspection",), None),
        ("TX", AUTHORITY, ("treatment check",), None),
        ("", AUTHORITY, ("inspection",), None),
        ("WISCONSIN", AUTHORITY, ("inspection",), None),
    ],
)
def test_a_report_is_owed_within_the_days_that_the_rules_text_sets_else_no_date_is_told(
    rule_set: str, to: ReportTo, done: tuple[str, ...], due_on: date | None
) -> None:
    found = owed(rule_set, to, *done)
    assert found.on_date == due_on
    assert bool(found.citation) == (due_on is not None)


def test_days_entered_for_an_authority_win_over_its_rule_set_but_not_for_the_owner() -> None:
    there = place("NC", report_days=10)
    found = report_deadline(ASKED, there, AUTHORITY, VISIT, ())
    assert (found.on_date, found.citation) == (
        date(2026, 6, 25),
        "10 days, as entered for Invented County",
    )
    assert report_deadline(ASKED, there, OWNER, VISIT, ()).on_date == date(2026, 7, 15)


def test_hours_after_a_finding_bind_the_report_to_the_authority_only() -> None:
    """15A NCAC 18E .1304: repairs needed, tell the health department in 48 h."""
    found = [hours_rule(ASKED, "NC", one) for one in (SERIOUS, FAULT, NOTE)]
    assert [one.hours if one else None for one in found] == [48, 48, None]
    at = datetime(2026, 6, 15, 14, tzinfo=UTC) + timedelta(hours=48)
    assert report_deadline(ASKED, place("NC"), AUTHORITY, VISIT, (), at).at == at
    assert report_deadline(ASKED, place("NC"), OWNER, VISIT, (), at).at is None


def test_critical_faults_are_mended_within_thirty_days_where_a_county_says_so() -> None:
    """Clark County Code 24.17.180: critical faults mended in 30 days."""
    rule = mend_rule(ASKED, "WA-CLARK", SERIOUS)
    assert rule is not None
    assert rule.mend_days == 30
    assert mend_rule(ASKED, "WA-CLARK", FAULT) is None
    assert mend_rule(ASKED, "NC", SERIOUS) is None


def test_a_firms_file_changes_and_removes_what_ships() -> None:
    text = """
remove = ["ma-pumper"]
[reports.wi-report]
rule_set = "WI"
days = 20
citation = "Invented letter of the county"
"""
    file = read_rules(text, "own.toml")
    assert file.reports["wi-report"].days == 20
    assert file.remove == ("ma-pumper",)


@pytest.mark.parametrize(
    ("body", "said"),
    [
        ('days = 3\nhours = 4\ncitation = "X"', "exactly one of “days”, “hours” and “mend_days”"),
        ('citation = "X"', "exactly one of “days”"),
        ("days = 3", "needs a “citation”"),
        ('hours = 3\ncitation = "X"', "say in “seriousness”"),
        ('hours = 3\nseriousness = ["awful"]\ncitation = "X"', "“awful” is unknown"),
        ('days = -1\ncitation = "X"', "key “days”: write a whole number from 0 to 366"),
        ('days = true\ncitation = "X"', "key “days”: write a whole number"),
        ('hours = 0\nseriousness = ["serious"]\ncitation = "X"', "above 0"),
        ('days = 3\nto = "press"\ncitation = "X"', "“press” is unknown. Use one of: authority"),
        ('days = 3\nday = 4\ncitation = "X"', "key “day”: unknown key"),
        ('days = 3\nseriousness = ["fault"]\ncitation = "X"', "belongs to “hours”"),
        (
            'hours = 3\ntasks = ["purge"]\nseriousness = ["fault"]\ncitation = "X"',
            "“tasks” belongs",
        ),
        ("days = 3\ncitation = 5", "key “citation”: write a text in quotes"),
    ],
)
def test_a_wrong_rule_on_reports_is_refused_with_its_name_and_what_to_do(
    body: str, said: str
) -> None:
    with pytest.raises(ConfigError) as wrong:
        read_rules(f"[reports.mine]\n{body}\n", "own.toml")
    assert "own.toml, report “mine”" in str(wrong.value)
    assert said in str(wrong.value)
