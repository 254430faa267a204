"""Interval rules and task kinds out of a TOML text; all that is wrong is said at once."""

import tomllib
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field, fields, replace
from difflib import get_close_matches
from typing import Any

from registry.due.months import month_and_day
from registry.due.reading_file import read_reading_kinds
from registry.due.report_file import read_report_rules
from registry.due.terms import BINDING, DEFAULT, LAW
from registry.errors import ConfigError, RangeError
from registry.records.reading_kinds import ReadingKind
from registry.records.reports import ReportRule
from registry.records.systems import ComponentKind, SystemKind
from registry.records.work import IntervalRule, TaskKind

FORMAT = "riserway-rules/1"
TOP_KEYS = ("format", "tasks", "readings", "rules", "reports", "remove")
BY_READING = ("pump-out",)
LONGEST_MONTHS = 240
LONGEST_DAYS = 366
"""A horizon or a time of grace of more than a year is a mistake of typing."""

NUMBERS = {"minutes", "water_gal", "buried_lid_minutes", "late_harm_s_per_day", "base_worth_s"}
TABLES = {"minutes_each", "water_each_gal", "septage_each_gal"}
LISTS = {"skills", "tools", "steps", "cautions", "readings", "system_kinds", "component_kinds"}
WHOLE = {
    "people": (1, 20),
    "months": (1, LONGEST_MONTHS),
    "grace_days": (0, LONGEST_DAYS),
    "horizon_days": (0, LONGEST_DAYS),
}
WORDS = {"system_kinds": tuple(SystemKind), "component_kinds": tuple(ComponentKind)}
MONTH_DAYS = ("yearly_by", "season_from", "season_to")


@dataclass(frozen=True, slots=True)
class RuleFile:
    """What a rule file says by code: rules, kinds of tasks and readings, rules to take away.

    ``reports`` are the rules on reports; ``remove`` names rules of either kind.
    """

    rules: dict[str, IntervalRule] = field(default_factory=dict)
    tasks: dict[str, TaskKind] = field(default_factory=dict)
    remove: tuple[str, ...] = ()
    readings: dict[str, ReadingKind] = field(default_factory=dict)
    reports: dict[str, ReportRule] = field(default_factory=dict)


@dataclass(slots=True)
class _Reader:
    file: str
    complaints: list[str] = field(default_factory=list)

    def wrong(self, where: str, what: str) -> None:
        self.complaints.append(f"{self.file}, {where}: {what}")


def read_rules(
    text: str,
    file: str,
    known_tasks: Mapping[str, TaskKind] | None = None,
    known_rules: Mapping[str, IntervalRule] | None = None,
    known_readings: Mapping[str, ReadingKind] | None = None,
) -> RuleFile:
    """Return the rules and task kinds of a TOML text.

    Parameters
    ----------
    text
        The file's text.
    file
        Its name, for complaints.
    known_tasks
        Task kinds that exist already: a file may name only the keys it changes.
    known_rules
        Rules that exist already: a waiver may name one of them.
    known_readings
        Kinds of readings that exist already: a file may name only the keys it changes.

    Raises
    ------
    ConfigError
        With every complaint, each naming file, rule or task, key, what is wrong and what to do.
    """
    known_tasks, known_rules = known_tasks or {}, known_rules or {}
    reader = _Reader(file)
    try:
        document = tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        raise ConfigError(f"{file}: this is not TOML: {wrong}. Mend that line.") from None
    _check_top(document, reader)
    tasks = {
        code: task
        for code, body in _tables(document, "tasks", reader).items()
        if (task := _task(code, body, known_tasks.get(code), reader)) is not None
    }
    rules = {
        code: rule
        for code, body in _tables(document, "rules", reader).items()
        if (rule := _rule(code, body, reader)) is not None
    }
    readings = read_reading_kinds(
        _tables(document, "readings", reader), known_readings or {}, reader.wrong
    )
    reports = read_report_rules(_tables(document, "reports", reader), reader.wrong)
    _check_together(rules, {**known_tasks, **tasks}, {**known_rules, **rules}, reader)
    remove = document.get("remove", [])
    if not isinstance(remove, list) or not all(isinstance(one, str) for one in remove):
        reader.wrong("key “remove”", 'write a list of rule codes, such as ["default-filter"].')
        remove = []
    if reader.complaints:
        raise ConfigError("\n".join(reader.complaints))
    return RuleFile(rules, tasks, tuple(remove), readings, reports)


def _check_top(document: Mapping[str, Any], reader: _Reader) -> None:
    for key in document:
        if key not in TOP_KEYS:
            reader.wrong(f"key “{key}”", f"unknown key.{_meant(key, TOP_KEYS)}")
    if document.get("format", FORMAT) != FORMAT:
        reader.wrong("key “format”", f"this program reads “{FORMAT}” only.")


def _tables(document: Mapping[str, Any], name: str, reader: _Reader) -> dict[str, dict[str, Any]]:
    held = document.get(name, {})
    if not isinstance(held, dict):
        reader.wrong(f"key “{name}”", f"write tables, such as [{name}.my-code].")
        return {}
    bad = [code for code, body in held.items() if not isinstance(body, dict)]
    for code in bad:
        reader.wrong(f"{name[:-1]} “{code}”", f"write a table: [{name}.{code}].")
    return {code: body for code, body in held.items() if code not in bad}


def _task(
    code: str, body: dict[str, Any], known: TaskKind | None, reader: _Reader
) -> TaskKind | None:
    values = _values(TaskKind, f"task “{code}”", body, reader)
    if known is not None:
        return replace(known, **values)
    return _made(TaskKind, f"task “{code}”", code, (values, body), reader)


def _rule(code: str, body: dict[str, Any], reader: _Reader) -> IntervalRule | None:
    where = f"rule “{code}”"
    values = _values(IntervalRule, where, body, reader)
    rule = _made(IntervalRule, where, code, (values, body), reader)
    if rule is None:
        return None
    if sum([rule.months is not None, bool(rule.yearly_by), bool(rule.by_reading)]) != 1:
        reader.wrong(where, "give exactly one of “months”, “yearly_by” and “by_reading”.")
    if bool(rule.season_from) != bool(rule.season_to):
        reader.wrong(where, "a season needs both “season_from” and “season_to”.")
    if rule.status not in (*BINDING, DEFAULT):
        reader.wrong(
            f"{where}, key “status”",
            f"“{rule.status}” is unknown. Use law, permit, agreement or default.",
        )
    if rule.status in BINDING and not rule.citation:
        reader.wrong(
            f"{where}, key “citation”",
            "a rule that binds needs one: say where it is written, or make its status “default”.",
        )
    if rule.by_reading and rule.by_reading not in BY_READING:
        reader.wrong(f"{where}, key “by_reading”", f"use one of: {', '.join(BY_READING)}.")
    return rule


def _check_together(
    rules: Mapping[str, IntervalRule],
    tasks: Mapping[str, TaskKind],
    all_rules: Mapping[str, IntervalRule],
    reader: _Reader,
) -> None:
    for code, rule in rules.items():
        if rule.task not in tasks:
            reader.wrong(
                f"rule “{code}”, key “task”",
                f"there is no task “{rule.task}”.{_meant(rule.task, tasks)} "
                f"Add it as [tasks.…] or use one of: {', '.join(tasks)}.",
            )
        if rule.waives and rule.waives != LAW and rule.waives not in all_rules:
            reader.wrong(
                f"rule “{code}”, key “waives”",
                f"there is no rule “{rule.waives}”.{_meant(rule.waives, all_rules)}",
            )
    for code, task in tasks.items():
        if task.clock and task.clock not in tasks:
            reader.wrong(f"task “{code}”, key “clock”", f"there is no task “{task.clock}”.")


def _made[T: (TaskKind, IntervalRule)](
    kind: type[T],
    where: str,
    code: str,
    values_and_body: tuple[dict[str, Any], dict[str, Any]],
    reader: _Reader,
) -> T | None:
    values, body = values_and_body
    needed = [
        one.name
        for one in fields(kind)
        if one.default is MISSING and one.default_factory is MISSING and one.name != "code"
    ]
    missing = [name for name in needed if name not in values]
    for name in missing:
        if name not in body:  # an unusable one was complained of already
            reader.wrong(f"{where}, key “{name}”", "it is missing. Add it.")
    return None if missing else kind(code=code, **values)


def _values(
    kind: type[TaskKind | IntervalRule], where: str, body: dict[str, Any], reader: _Reader
) -> dict[str, Any]:
    allowed = [one.name for one in fields(kind) if one.name != "code"]
    values: dict[str, Any] = {}
    for key, value in body.items():
        at = f"{where}, key “{key}”"
        if key not in allowed:
            reader.wrong(at, f"unknown key.{_meant(key, allowed)}")
            continue
        try:
            values[key] = _value(key, value)
        except RangeError as wrong:
            reader.wrong(at, str(wrong))
    return values


def _value(key: str, value: Any) -> Any:  # noqa: ANN401 - any TOML value comes in
    if key in NUMBERS:
        return _number(value)
    if key in WHOLE:
        return _whole(value, *WHOLE[key])
    if key in TABLES:
        return _table(value)
    if key in LISTS:
        return _list(key, value)
    if not isinstance(value, str):
        raise RangeError("write a text in quotes.")
    if key in MONTH_DAYS and value:
        month_and_day(value)
    return value


def _number(value: Any) -> float:  # noqa: ANN401
    if isinstance(value, bool) or not isinstance(value, int | float) or not 0 <= value < 1e6:
        raise RangeError("write a number, 0 or more, without quotes.")
    return float(value)


def _whole(value: Any, least: int, most: int) -> int:  # noqa: ANN401
    if isinstance(value, bool) or not isinstance(value, int) or not least <= value <= most:
        raise RangeError(f"write a whole number from {least} to {most}, without quotes.")
    return value


def _table(value: Any) -> dict[str, float]:  # noqa: ANN401
    if not isinstance(value, dict):
        raise RangeError('write figures by kind of component, such as { "laterals" = 2 }.')
    for kind in value:
        _known_word("component_kinds", kind)
    return {kind: _number(one) for kind, one in value.items()}


def _list(key: str, value: Any) -> tuple[str, ...]:  # noqa: ANN401
    if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
        raise RangeError('write a list of texts, such as ["gravity", "mound"].')
    if key in WORDS:
        for word in value:
            _known_word(key, word)
    return tuple(value)


def _known_word(key: str, word: str) -> None:
    words = [str(one) for one in WORDS[key]]
    if word not in words:
        raise RangeError(f"“{word}” is unknown. Use one of: {', '.join(words)}.")


def _meant(word: str, known: Any) -> str:  # noqa: ANN401 - any collection of texts
    close = get_close_matches(word, [str(one) for one in known], n=1)
    return f" Did you mean “{close[0]}”?" if close else ""
