"""The rules guide: its examples are read, its tables name every key and every rule set."""

import re
from dataclasses import fields
from pathlib import Path

import pytest

from registry.due.pump_out_triggers import SOLIDS_READINGS, TRIGGERS
from registry.due.rules_file import read_rules
from registry.records.reports import ReportRule
from registry.records.work import IntervalRule, TaskKind
from registry.store.rules import shipped

GUIDE = (Path(__file__).parents[3] / "docs" / "rules.md").read_text("utf-8")
PROSE = re.sub(r"```.*?```", "", GUIDE, flags=re.DOTALL)
EXAMPLES = re.findall(r"```toml\n(.*?)```", GUIDE, re.DOTALL)


@pytest.mark.parametrize("example", EXAMPLES)
def test_every_example_is_read_without_complaint(example):
    file = read_rules(example, "docs/rules.md", shipped().tasks, shipped().rules)
    assert file.rules or file.tasks or file.readings or file.reports


@pytest.mark.parametrize("kind", [IntervalRule, TaskKind, ReportRule])
def test_every_key_is_named_in_a_table(kind):
    named = set(re.findall(r"`(\w+)`", "\n".join(re.findall(r"^\|.*", PROSE, re.MULTILINE))))
    assert {one.name for one in fields(kind)} - {"code"} <= named


def test_every_rule_set_trigger_and_reading_is_named():
    named = set(re.findall(r"`([^`]+)`", PROSE))
    assert {rule.jurisdiction for rule in shipped().rules.values()} - {""} <= named
    assert {rule.rule_set for rule in shipped().reports.values()} <= named
    assert TRIGGERS.keys() <= named
    assert set(SOLIDS_READINGS) <= named
