"""Cells as words of a list, yes and no, hazards, weekdays and hours."""

import re
from collections.abc import Mapping

from registry.imports.cells import Fault
from registry.imports.numbers import shortened

YES = frozenset({"yes", "y", "true", "t", "1", "x"})
NO = frozenset({"no", "n", "false", "f", "0"})
WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
DAYS_OF_MONTHS = (31, 29, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)

_CLOCK = re.compile(r"(\d{1,2})(?::?(\d{2}))?(?::00)?\s*([ap])?\.?(?:m\.?)?", re.IGNORECASE)
_MONTH_DAY = re.compile(r"(?:--)?(\d{1,2})[-/](\d{1,2})")


def plain(text: str) -> str:
    """Return a word as it is compared: small letters, one blank between words, no dashes."""
    return " ".join(text.replace("-", " ").replace("_", " ").casefold().split())


def yes_no(cell: str) -> bool | Fault | None:
    """Return what a cell says: yes, no, nothing, or what is wrong with it."""
    word = cell.casefold()
    if not word:
        return None
    if word in YES:
        return True
    if word in NO:
        return False
    return Fault(f"“{shortened(cell)}” is neither yes nor no", "Write yes or no")


def word_of(cell: str, words: Mapping[str, str]) -> str | Fault | None:
    """Return the word of ours that a cell means; ``words`` maps plain spellings to ours."""
    if not cell:
        return None
    found = words.get(plain(cell))
    if found is None:
        known = ", ".join(dict.fromkeys(words.values()))
        return Fault(f"“{shortened(cell)}” is not one of the known words", f"Write one of: {known}")
    return found


def hazards(cell: str) -> list[dict[str, str]]:
    """Return the hazards of ``kind: note; kind: note``."""
    found = []
    for part in cell.split(";"):
        kind, _, note = part.partition(":")
        if kind.strip():
            found.append({"kind": kind.strip(), "note": note.strip()})
    return found


def listed(cell: str) -> list[str]:
    """Return the parts of ``one; two; three``."""
    return [one.strip() for one in cell.split(";") if one.strip()]


def month_day(cell: str) -> str | Fault | None:
    """Return a day of the year as MM-DD."""
    if not cell:
        return None
    match = _MONTH_DAY.fullmatch(cell)
    if match:
        month, day = int(match[1]), int(match[2])
        if 1 <= month <= 12 and 1 <= day <= DAYS_OF_MONTHS[month - 1]:
            return f"{month:02}-{day:02}"
    return Fault(f"“{shortened(cell)}” is no day of the year", "Write month and day as 05-15")


def minutes(cell: str) -> int | Fault | None:
    """Return an hour of the day as minutes after midnight; 24:00 is the day's end."""
    if not cell:
        return None
    match = _CLOCK.fullmatch(cell.strip())
    if match and (match[2] or match[3]):
        hour, minute = int(match[1]), int(match[2] or 0)
        half = (match[3] or "").lower()
        if half and 1 <= hour <= 12:
            hour = hour % 12 + (12 if half == "p" else 0)
            half = ""
        if not half and minute < 60 and hour * 60 + minute <= 24 * 60:
            return hour * 60 + minute
    return Fault(f"“{shortened(cell)}” is no time of day", "Write it as 08:00 or 17:30")


def weekdays(cell: str) -> tuple[int, ...] | Fault | None:
    """Return weekdays, 0 = Monday, of ``mon``, ``mon, thu``, ``mon-fri`` or ``daily``."""
    if not cell:
        return None
    text = cell.casefold().replace("–", "-")
    if text.strip() in {"daily", "every day", "all"}:
        return tuple(range(7))
    days: set[int] = set()
    for part in re.split(r"[,;/\s]+", re.sub(r"\s*-\s*", "-", text).strip()):
        first, _, last = part.partition("-")
        begin, end = _weekday(first), _weekday(last or first)
        if begin is None or end is None:
            return Fault(f"“{shortened(cell)}” names no weekdays", "Write mon, tue, … or mon-fri")
        days.update((begin + i) % 7 for i in range((end - begin) % 7 + 1))
    return tuple(sorted(days))


def _weekday(text: str) -> int | None:
    found = [i for i, name in enumerate(WEEKDAYS) if text.startswith(name)]
    full = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
    return found[0] if found and full[found[0]].startswith(text[:3]) and text.isalpha() else None
