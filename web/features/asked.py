"""What the address of a page of features asks; whatever is wrong is said at once."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from registry.errors import RangeError
from registry.records.feature_filter import Condition
from registry.records.features import Collection, Column, ColumnKind, FeatureQuery, Value
from registry.records.places import Box
from registry.services.features import MOST
from web.features import reference_systems
from web.features.cql2 import condition_in
from web.features.reference_systems import CRS84
from web.forms import number_in

USUAL = 100
"""Features on a page where no limit is asked."""
FILTER = ("filter", "filter-lang", "filter-crs")
ITEMS = ("limit", "bbox", "bbox-crs", "crs", "datetime", *FILTER, "after", "f")
"""Parameters of a page of features, beside its columns."""
CQL2_TEXT = "cql2-text"
WORDS = {"true": True, "false": False}


@dataclass(frozen=True, slots=True)
class Asked:
    """Which features, and in which reference system their places are told."""

    query: FeatureQuery
    crs: str


def only(args: Mapping[str, str], known: tuple[str, ...]) -> None:
    """Refuse an address with a parameter that is not known.

    Raises
    ------
    RangeError
        As the standard asks (OGC 17-069, /req/core/query-param-unknown).
    """
    unknown = sorted(set(args) - set(known))
    if unknown:
        listed = ", ".join(f"“{one[:40]}”" for one in unknown)
        raise RangeError(f"Not known here: {listed}. Known: {', '.join(known)}.")
    if any("\0" in one for one in args.values()):
        raise RangeError("There is a sign in the address that no text can have.")


def items_in(args: Mapping[str, str], collection: Collection) -> Asked:
    """Return what an address asks of a collection.

    Raises
    ------
    RangeError
        If it asks what is not known, or in a way that cannot be read.
    """
    columns = {one.name: one for one in collection.columns if one.asked}
    only(args, (*ITEMS, *columns))
    has_dates, first, last = _dates(args.get("datetime", ""))
    equal = {name: _value(columns[name], args[name]) for name in columns if name in args}
    return Asked(
        FeatureQuery(
            limit=_limit(args.get("limit", str(USUAL))),
            box=_box(args),
            has_dates=has_dates,
            first=first,
            last=last,
            equal=equal,
            where=_where(args, columns),
            after=args.get("after", "")[:80],
        ),
        crs_in(args),
    )


def crs_in(args: Mapping[str, str]) -> str:
    """Return the reference system that an answer is asked in.

    Raises
    ------
    RangeError
        If it is not known.
    """
    return reference_systems.known(args.get("crs", CRS84))


def _limit(text: str) -> int:
    """Return a number of features; more than a page holds is a whole page, as the standard says."""
    limit = number_in(text)
    if not limit:
        raise RangeError(f"limit is a whole number from 1 to {MOST:,}.")
    return min(limit, MOST)


def _box(args: Mapping[str, str]) -> Box | None:
    system = reference_systems.known(args.get("bbox-crs", CRS84))
    if "bbox" not in args:
        return None
    try:
        numbers = [_finite(one) for one in args["bbox"].split(",")]
    except ValueError:
        numbers = []
    if len(numbers) == 6:
        numbers = [*numbers[0:2], *numbers[3:5]]
    if len(numbers) != 4:
        raise RangeError(reference_systems.BOX)
    return reference_systems.box_in(numbers, system)


def _where(args: Mapping[str, str], columns: Mapping[str, Column]) -> Condition | None:
    if args.get("filter-lang", CQL2_TEXT) != CQL2_TEXT:
        raise RangeError(f"filter-lang is {CQL2_TEXT}.")
    reference_systems.known(args.get("filter-crs", CRS84))
    return condition_in(args["filter"], columns) if "filter" in args else None


def _dates(text: str) -> tuple[bool, date | None, date | None]:
    """Return whether a span is asked, and its first and last date (RFC 3339, ``..`` = open)."""
    if not text:
        return False, None, None
    ends = text.split("/")
    if len(ends) > 2 or (len(ends) == 1 and ends[0] == ".."):
        raise RangeError(_DATETIME)
    first, last = (_end(one) for one in (ends[0], ends[-1]))
    if first is not None and last is not None and first > last:
        raise RangeError("datetime begins after it ends.")
    return True, first, last


_DATETIME = "datetime is a date such as 2026-06-15, or a span such as 2026-01-01/2026-06-30 or ../…"


def _end(text: str) -> date | None:
    if text in {"", ".."}:
        return None
    day, mark, time = text.partition("T")
    try:
        found = date.fromisoformat(day)
    except ValueError as wrong:
        raise RangeError(_DATETIME) from wrong
    if len(day) != 10 or (mark and not time):
        raise RangeError(_DATETIME)
    return found


def _value(column: Column, text: str) -> Value:
    try:
        match column.kind:
            case ColumnKind.YES_NO:
                return WORDS[text.lower()]
            case ColumnKind.DATE:
                return date.fromisoformat(text)
            case ColumnKind.NUMBER | ColumnKind.WHOLE:
                return _finite(text)
            case _:
                return text
    except (ValueError, KeyError) as wrong:
        raise RangeError(f"“{text[:40]}” is no {column.kind} for {column.name}.") from wrong


def _finite(text: str) -> float:
    number = float(text)
    if not math.isfinite(number):
        raise ValueError(text)
    return number
