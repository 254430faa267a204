"""Whether a reading can be, and what is asked about it: rules that say why, as data.

A phone evaluates the same tables (``checks_json``) by web/static/record-checks.js; one table of
cases holds both to the same words (tests/unit/field/reading_cases.json).
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass
from datetime import date
from typing import Any

from registry.field.reading_pairs import PAIRS
from registry.field.reading_words import (
    KEEP,
    WENT_BACK,
    WORDS,
    Level,
    Verdict,
    plain,
    unit_in,
    whole_percent,
)
from registry.records.reading_kinds import CHOICE, ReadingKind
from registry.units import FT_WATER_PER_PSI, IN_PER_FT, L_PER_GAL, MIN_PER_H, S_PER_MIN

NUMBER_LIKE = r"^-?(?:[0-9]{1,12}(?:\.[0-9]{1,9})?|\.[0-9]{1,9})$"
"""What counts as a number, as a regular expression that Python and JavaScript read alike."""

NEAR_SHARE = 0.15
"""A value in another unit counts as meant if it comes this near the last one; common practice."""

SLIPS: dict[str, tuple[tuple[str, float], ...]] = {
    "in": (("feet", IN_PER_FT), ("centimetres", 1 / 2.54)),
    "ft": (("inches", 1 / IN_PER_FT),),
    "gal": (("litres", 1 / L_PER_GAL),),
    "gpm": (("gallons an hour", 1 / MIN_PER_H),),
    "min": (("seconds", 1 / S_PER_MIN), ("hours", float(MIN_PER_H))),
    "h": (("minutes", 1 / MIN_PER_H),),
    "psi": (("feet of water", 1 / FT_WATER_PER_PSI),),
}
"""Unit → units that are written in its place, and the factor that turns them into it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Last:
    """The reading that a new one is compared with; ``unit`` must be the kind's for a comparison."""

    value: float | None = None
    on: date | None = None
    unit: str = ""


NOTHING_BEFORE = Last()


def check_reading(text: str, kind: ReadingKind, last: Last = NOTHING_BEFORE) -> list[Verdict]:
    """Return what the rules say of one reading, the gravest first; nothing where it is in order.

    Parameters
    ----------
    text
        What was typed, not empty.
    kind
        The kind of reading, with its limits.
    last
        The last reading at the same part.

    References
    ----------
    The rules are common practice, no source; so are the shipped limits.
    """
    said = text.strip()
    if kind.input == CHOICE:
        if said in kind.choices:
            return []
        return [_blocked("no choice", text=said, choices=", ".join(kind.choices))]
    if not re.match(NUMBER_LIKE, said):
        return [_blocked("no number", text=said, kind=kind.code, unit_in=unit_in(kind.unit))]
    value = float(said)
    told: dict[str, Any] = {
        "value": plain(value),
        "kind": kind.code,
        "unit_in": unit_in(kind.unit),
        "last": plain(last.value or 0.0),
        "day": "" if last.on is None else last.on.isoformat(),
    }
    if kind.whole and value != int(value):
        return [_blocked("not whole", **told)]
    compared = last if last.value is not None and last.unit == kind.unit else NOTHING_BEFORE
    slip = list(_slip(value, kind, compared, told))
    if kind.possible and not kind.possible[0] <= value <= kind.possible[1]:
        low, high = (plain(one) for one in kind.possible)
        return [_blocked("impossible", **told, low=low, high=high), *slip]
    return [*_against_last(value, kind, compared, told), *slip, *_unusual(value, kind, told)]


def answers_to(verdicts: list[Verdict]) -> tuple[str, ...]:
    """Return the answers of which one must be given; none where nothing is asked."""
    asked = [one for one in verdicts if one.level is Level.ASKS]
    back = [one for one in asked if one.rule == "went back"]
    return (back or asked)[0].choices if asked else ()


def checks_json(kinds: Mapping[str, ReadingKind]) -> dict[str, Any]:
    """Return all rules as plain JSON values, for a page or a phone that checks by itself."""
    return {
        "number_like": NUMBER_LIKE,
        "near_share": NEAR_SHARE,
        "kinds": {code: asdict(kind) for code, kind in kinds.items()},
        "slips": SLIPS,
        "pairs": [asdict(pair) for pair in PAIRS],
        "words": WORDS,
        "keep": KEEP,
        "went_back": WENT_BACK,
    }


def _against_last(
    value: float, kind: ReadingKind, last: Last, told: dict[str, Any]
) -> Iterator[Verdict]:
    if last.value is None:
        return
    if kind.counts_up and value < last.value:
        yield Verdict(Level.ASKS, "went back", WORDS["went back"].format(**told), WENT_BACK)
    if value == last.value and value != 0 and not kind.may_repeat:
        yield Verdict(Level.ASKS, "same", WORDS["same"].format(**told), KEEP)
    if kind.change_share is None or last.value == 0:
        return
    moved_share = (value - last.value) / abs(last.value)
    if abs(moved_share) > kind.change_share:
        way, cause = ("less", kind.down) if moved_share < 0 else ("more", kind.up)
        words = WORDS["change"].format(
            **told,
            percent=whole_percent(moved_share),
            way=way,
            cause=cause or "that something changed",
        )
        yield Verdict(Level.ASKS, "change", words, KEEP)


def _unusual(value: float, kind: ReadingKind, told: dict[str, Any]) -> Iterator[Verdict]:
    if kind.usual and not kind.usual[0] <= value <= kind.usual[1]:
        low, high = (plain(one) for one in kind.usual)
        words = WORDS["unlikely"].format(**told, low=low, high=high)
        yield Verdict(Level.ASKS, "unlikely", words, KEEP)


def _slip(value: float, kind: ReadingKind, last: Last, told: dict[str, Any]) -> Iterator[Verdict]:
    """Yield the unit that a value was likely written in, where it makes no sense in its own."""
    if value <= 0 or _makes_sense(value, kind, last):
        return
    for other, factor in SLIPS.get(kind.unit, ()):
        meant = value * factor
        near = last.value is not None and _is_near(meant, last.value)
        if near or (last.value is None and _is_usual(meant, kind)):
            words = WORDS["unit"].format(**told, other=other, converted=plain(meant, 1))
            yield Verdict(Level.ASKS, "unit", words, KEEP)
            return


def _makes_sense(value: float, kind: ReadingKind, last: Last) -> bool:
    if last.value is not None and _is_near(value, last.value):
        return True
    return last.value is None and (kind.usual is None or _is_usual(value, kind))


def _is_near(value: float, last: float) -> bool:
    return abs(value - last) <= NEAR_SHARE * abs(last)


def _is_usual(value: float, kind: ReadingKind) -> bool:
    return kind.usual is not None and kind.usual[0] <= value <= kind.usual[1]


def _blocked(rule: str, **told: Any) -> Verdict:  # noqa: ANN401 - what the words name
    return Verdict(Level.BLOCKED, rule, WORDS[rule].format(**told))
