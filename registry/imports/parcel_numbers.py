"""Parcel numbers: how they are written differs from office to office, what they name does not."""

import re

_GROUPS = re.compile(r"[A-Z]+|[0-9]+|[^\W\d_A-Z]+")
_BREAKS = re.compile(r"[^\w]+|_")
SAME, SAME_SIGNS, SAME_GROUPS, LOOSE = 100.0, 98.0, 97.0, 70.0
"""How surely two numbers are one: as written; but for signs; but for leading zeros; neither."""


def code(number: str) -> str:
    """Return a parcel number as its letters and digits alone: ``R12-004.5`` → ``R120045``."""
    return "".join(_BREAKS.split(number.upper()))


def loose_code(number: str) -> str:
    """Return it without the leading zeros of its groups either: ``R12-004.5`` → ``R1245``."""
    return "".join(_groups(number))


def likeness(one: str, other: str) -> float:
    """Return how surely two numbers name one parcel, 0 to 100.

    A different grouping of the same digits is a doubt (``1-23`` and ``12-3``) unless one of the
    two has no groups at all. The order of these grades is ours: common practice, no source.
    """
    parts, others = _parts(one), _parts(other)
    if parts == others:
        return SAME if parts else 0.0
    if code(one) == code(other) and 1 in {len(parts), len(others)}:
        return SAME_SIGNS
    if len(parts) == len(others) and [_groups(p) for p in parts] == [_groups(p) for p in others]:
        return SAME_GROUPS
    return LOOSE if loose_code(one) == loose_code(other) or code(one) == code(other) else 0.0


def _parts(number: str) -> list[str]:
    return [part for part in _BREAKS.split(number.upper()) if part]


def _groups(number: str) -> list[str]:
    return [
        group.lstrip("0") or "0" if group.isdigit() else group
        for group in _GROUPS.findall(number.upper())
    ]
