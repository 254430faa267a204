import pytest

from registry.due.rules_file import read_rules
from registry.errors import ConfigError
from registry.records.work import TaskKind

LOOK = TaskKind(code="inspection", name="Look", minutes=30, tools=("probe",))
GOOD = """
[rules.yearly]
task = "inspection"
months = 12
status = "law"
citation = "County code 1.2"
"""


def test_a_rule_is_read_with_the_defaults_of_what_it_does_not_say():
    rule = read_rules(GOOD, "rules.toml", {"inspection": LOOK}).rules["yearly"]
    assert (rule.months, rule.status, rule.grace_days, rule.horizon_days) == (12, "law", 0, 30)
    assert rule.system_kinds == ()


def test_a_known_task_keeps_what_the_file_does_not_change():
    text = "[tasks.inspection]\nminutes = 45"
    task = read_rules(text, "rules.toml", {"inspection": LOOK}).tasks["inspection"]
    assert (task.minutes, task.name, task.tools) == (45.0, "Look", ("probe",))


@pytest.mark.parametrize(
    ("text", "where", "remedy"),
    [
        ('fromat = "riserway-rules/1"', "key “fromat”", "Did you mean “format”"),
        ('format = "other/2"', "key “format”", "reads “riserway-rules/1” only"),
        ("remove = [1]", "key “remove”", "a list of rule codes"),
        ("rules = 3", "key “rules”", "[rules.my-code]"),
        ("[rules]\na = 3", "rule “a”", "write a table: [rules.a]"),
        (GOOD + "month = 3", "rule “yearly”, key “month”", "Did you mean “months”"),
        (GOOD + "grace_days = -1", "key “grace_days”", "whole number from 0 to 366"),
        (GOOD + 'system_kinds = ["gravty"]', "key “system_kinds”", "Use one of: gravity"),
        (GOOD + 'season_from = "05-01"', "rule “yearly”", "both “season_from” and “season_to”"),
        (GOOD + 'yearly_by = "06-31"', "key “yearly_by”", "Write month and day"),
        (GOOD + 'yearly_by = "06-30"', "rule “yearly”", "exactly one of"),
        (GOOD + 'waives = "other"', "key “waives”", "there is no rule “other”"),
        (GOOD + "note = 3", "key “note”", "write a text in quotes"),
        ('[rules.a]\ntask = "inspektion"\nmonths = 3', "key “task”", "mean “inspection”"),
        ("[rules.a]\nmonths = 3", "key “task”", "it is missing"),
        ('[rules.a]\ntask="inspection"\nmonths=3\nstatus="law"', "key “citation”", "binds"),
        ('[rules.a]\ntask="inspection"\nmonths=3\nstatus="must"', "key “status”", "Use law"),
        ('[rules.a]\ntask="inspection"\nby_reading="x"', "key “by_reading”", "pump-out"),
        ('[tasks.new]\nname = "New"\nminutes = "5"', "task “new”, key “minutes”", "a number"),
        ("[tasks.new]\nminutes = 5", "task “new”, key “name”", "it is missing"),
        ("[tasks.inspection]\nminutes_each = { tub = 2 }", "key “minutes_each”", "unknown"),
        ('[tasks.inspection]\nclock = "none"', "key “clock”", "no task “none”"),
        ("[rules.a", "not TOML", "Mend that line"),
    ],
)
def test_what_is_wrong_is_named_with_its_remedy(text, where, remedy):
    with pytest.raises(ConfigError) as wrong:
        read_rules(text, "rules.toml", {"inspection": LOOK})
    said = str(wrong.value)
    assert said.startswith("rules.toml")
    assert where in said
    assert remedy in said


def test_all_complaints_come_at_once():
    text = GOOD + 'month = 1\nstauts = "law"\n[tasks.x]\nname = "X"'
    with pytest.raises(ConfigError) as wrong:
        read_rules(text, "rules.toml", {"inspection": LOOK})
    assert len(str(wrong.value).splitlines()) == 3
