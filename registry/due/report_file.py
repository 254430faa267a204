"""Rules on reports out of the tables of a rules file; all that is wrong is said at once."""

from collections.abc import Callable, Mapping
from dataclasses import fields
from typing import Any

from registry.errors import RangeError
from registry.records.gate_visit import SERIOUSNESS
from registry.records.reports import ReportRule, ReportTo

KEYS = tuple(one.name for one in fields(ReportRule) if one.name != "code")
LIMITS = ("days", "hours", "mend_days")
MOST_DAYS = 366
MOST_HOURS = 24 * 31
"""A longer time to report in is a mistake of typing."""

type Complain = Callable[[str, str], None]
"""Takes where and what is wrong."""


def read_report_rules(
    tables: Mapping[str, Mapping[str, Any]], complain: Complain
) -> dict[str, ReportRule]:
    """Return the rules on reports of a file's tables ``[reports.…]``, by code.

    ``complain`` is told where and what is wrong; a rule with a fault is left out.
    """
    found = {}
    for code, body in tables.items():
        where = f"report “{code}”"
        values, right = {}, True
        for key, given in body.items():
            try:
                values[key] = _value(key, given)
            except RangeError as wrong:
                complain(f"{where}, key “{key}”", str(wrong))
                right = False
        rule = ReportRule(code=code, **values)
        if right and (wrong_whole := _wrong(rule)):
            complain(where, wrong_whole)
            right = False
        if right:
            found[code] = rule
    return found


def _wrong(rule: ReportRule) -> str:
    if sum(getattr(rule, one) is not None for one in LIMITS) != 1:
        return "give exactly one of “days”, “hours” and “mend_days”."
    if rule.days is None and not rule.seriousness:
        return 'say in “seriousness” after which findings, such as ["serious"].'
    if rule.days is None and rule.tasks:
        return "“tasks” belongs to “days” only."
    if rule.days is not None and rule.seriousness:
        return "“seriousness” belongs to “hours” and “mend_days” only."
    if not rule.citation:
        return "it needs a “citation”: say where it is written."
    return ""


def _value(key: str, given: Any) -> Any:  # noqa: ANN401 - any TOML value comes in
    if key not in KEYS:
        raise RangeError(f"unknown key. Use one of: {', '.join(KEYS)}.")
    if key in ("days", "mend_days"):
        if isinstance(given, bool) or not isinstance(given, int) or not 0 <= given <= MOST_DAYS:
            raise RangeError(f"write a whole number from 0 to {MOST_DAYS}, without quotes.")
        return given
    if key == "hours":
        is_number = isinstance(given, int | float) and not isinstance(given, bool)
        if not is_number or not 0 < given <= MOST_HOURS:
            raise RangeError(f"write a number above 0, to {MOST_HOURS}, without quotes.")
        return float(given)
    if key in ("tasks", "seriousness"):
        return _list(key, given)
    if not isinstance(given, str):
        raise RangeError("write a text in quotes.")
    if key == "to":
        if given not in tuple(ReportTo):
            raise RangeError(f"“{given}” is unknown. Use one of: {', '.join(ReportTo)}.")
        return ReportTo(given)
    return given


def _list(key: str, given: Any) -> tuple[str, ...]:  # noqa: ANN401
    if not isinstance(given, list) or not all(isinstance(one, str) for one in given):
        raise RangeError("write a list of texts in quotes.")
    strange = [one for one in given if key == "seriousness" and one not in SERIOUSNESS]
    if strange:
        raise RangeError(f"“{strange[0]}” is unknown. Use one of: {', '.join(SERIOUSNESS)}.")
    return tuple(given)
