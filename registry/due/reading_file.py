"""Kinds of readings out of the tables of a rules file; all that is wrong is said at once."""

import math
from collections.abc import Callable, Mapping
from dataclasses import fields, replace
from typing import Any

from registry.errors import RangeError
from registry.records.reading_kinds import CHOICE, NUMBER, ReadingKind
from registry.records.systems import ComponentKind

INPUTS = (NUMBER, CHOICE)
PAIRS = ("possible", "usual")
LISTS = ("choices", "at")
SWITCHES = ("whole", "counts_up", "may_repeat", "comes_first", "is_optional")
KEYS = tuple(one.name for one in fields(ReadingKind) if one.name != "code")

type Complain = Callable[[str, str], None]
"""Takes where and what is wrong."""


def read_reading_kinds(
    tables: Mapping[str, Mapping[str, Any]],
    known: Mapping[str, ReadingKind],
    complain: Complain,
) -> dict[str, ReadingKind]:
    """Return the kinds of readings of a file's tables, by code.

    Parameters
    ----------
    tables
        The body of each table ``[readings.…]``, by code.
    known
        Kinds that exist already: a file may name only the keys it changes.
    complain
        Is told where and what is wrong; a kind with a fault is left out.
    """
    found = {}
    for code, body in tables.items():
        values, right = {}, True
        for key, given in body.items():
            try:
                values[key] = _value(key, given)
            except RangeError as wrong:
                complain(f"reading “{code}”, key “{key}”", str(wrong))
                right = False
        if not right:
            continue
        kind = replace(known.get(code, ReadingKind(code=code)), **values)
        if kind.input == CHOICE and not kind.choices:
            complain(f"reading “{code}”, key “choices”", "a choice needs them. Add a list.")
            continue
        found[code] = kind
    return found


def _value(key: str, given: Any) -> Any:  # noqa: ANN401 - any TOML value comes in
    if key not in KEYS:
        raise RangeError(f"unknown key. Use one of: {', '.join(KEYS)}.")
    if key in PAIRS:
        return _pair(given)
    if key in LISTS:
        return _list(key, given)
    if key in SWITCHES:
        if not isinstance(given, bool):
            raise RangeError("write true or false, without quotes.")
        return given
    if key == "change_share":
        if not _is_number(given) or not 0 < given <= 10:
            raise RangeError("write a share such as 0.15, without quotes.")
        return float(given)
    if not isinstance(given, str):
        raise RangeError("write a text in quotes.")
    if key == "input" and given not in INPUTS:
        raise RangeError(f"“{given}” is unknown. Use one of: {', '.join(INPUTS)}.")
    return given


def _pair(given: Any) -> tuple[float, float]:  # noqa: ANN401
    if (
        not isinstance(given, list)
        or len(given) != 2
        or not all(_is_number(one) for one in given)
        or given[0] > given[1]
    ):
        raise RangeError("write the least and the greatest value, such as [0, 60].")
    return float(given[0]), float(given[1])


def _list(key: str, given: Any) -> tuple[str, ...]:  # noqa: ANN401
    if not isinstance(given, list) or not all(isinstance(one, str) for one in given):
        raise RangeError("write a list of texts in quotes.")
    kinds = [str(one) for one in ComponentKind]
    strange = [one for one in given if key == "at" and one not in kinds]
    if strange:
        raise RangeError(f"“{strange[0]}” is unknown. Use one of: {', '.join(kinds)}.")
    return tuple(given)


def _is_number(given: Any) -> bool:  # noqa: ANN401
    return not isinstance(given, bool) and isinstance(given, int | float) and math.isfinite(given)
