"""Values out of a record that a page or a phone sends; what is wrong is gathered, not raised."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, time
from enum import StrEnum
from typing import Any
from zoneinfo import ZoneInfo

UUID_LIKE = re.compile(r"[0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12}")
LONGEST_TEXT = 2000
YEARS = range(1990, 2200)
NO_DAY = date(1, 1, 2)
"""Stands where no date could be read; a record that holds it is refused."""
MOST_ROWS = 500
"""No visit has more readings, states or findings than that; more is a mistake."""

type Body = Mapping[str, Any]


@dataclass(slots=True)
class FieldReader:
    """Takes values out of a body and gathers what is wrong."""

    complaints: list[str] = field(default_factory=list)

    def text(self, body: Body, name: str) -> str:
        """Return a text, empty where there is none."""
        given = body.get(name)
        if given is None:
            return ""
        if isinstance(given, bool) or not isinstance(given, str | int | float):
            return self.wrong(name, "is no text.", "")
        said = str(given).strip()
        if len(said) > LONGEST_TEXT:
            return self.wrong(name, f"is longer than {LONGEST_TEXT:,} characters.", "")
        return said

    def number(self, body: Body, name: str, within: tuple[float, float]) -> float | None:
        """Return a number within limits, None where there is none."""
        said = self.text(body, name)
        if not said:
            return None
        try:
            value = float(said)
        except ValueError:
            value = math.nan
        low, high = within
        if not low <= value <= high:
            return self.wrong(name, f"“{said[:20]}” is no number from {low:g} to {high:g}.", None)
        return value

    def id(self, body: Body, name: str) -> int | None:
        """Return the number of a record, None where there is none."""
        said = self.text(body, name)
        if not said:
            return None
        if not said.isascii() or not said.isdigit() or len(said) > 15:
            return self.wrong(name, f"“{said[:20]}” is no number of a record.", None)
        return int(said)

    def word[W: StrEnum](
        self, body: Body, name: str, words: type[W], default: W | None
    ) -> W | None:
        """Return one of some words."""
        said = self.text(body, name)
        if not said:
            return default
        if said not in set(words):
            known = ", ".join(words)
            return self.wrong(name, f"“{said[:30]}” is unknown. Use one of: {known}.", default)
        return words(said)

    def rows(self, body: Body, name: str) -> list[Body]:
        """Return a list of records."""
        given = body.get(name, [])
        if not isinstance(given, list) or not all(isinstance(one, Mapping) for one in given):
            return self.wrong(name, "is no list of records.", [])
        if len(given) > MOST_ROWS:
            return self.wrong(name, f"has more than {MOST_ROWS} rows.", [])
        return given

    def uuid(self, body: Body, name: str) -> str:
        """Return a UUID."""
        said = self.text(body, name)
        if UUID_LIKE.fullmatch(said):
            return said
        return self.wrong(name, "is no UUID. Make one where the visit is recorded.", "")

    def wrong[T](self, name: str, what: str, instead: T) -> T:
        """Note what is wrong and return what stands instead."""
        self.complaints.append(f"“{name}” {what}")
        return instead

    def day(self, body: Body, name: str) -> date:
        """Return a date."""
        said = self.text(body, name)
        try:
            found = date.fromisoformat(said)
        except ValueError:
            found = NO_DAY
        if found.year not in YEARS:
            return self.wrong(name, f"“{said[:20]}” is no date such as 2026-06-15.", NO_DAY)
        return found

    def moment(self, body: Body, name: str, on_date: date, zone: str) -> datetime | None:
        """Return a moment: a time of day on a date, or a whole moment with its offset."""
        said = self.text(body, name)
        if not said:
            return None
        try:
            if len(said) <= len("00:00:00"):
                return datetime.combine(on_date, time.fromisoformat(said), ZoneInfo(zone))
            moment = datetime.fromisoformat(said)
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None or moment.year not in YEARS:
            return self.wrong(name, f"“{said[:30]}” is no time. Write it as 14:05.", None)
        return moment

    def yes(self, body: Body, name: str) -> bool:
        """Return whether something is so."""
        given = body.get(name)
        return given is True or str(given).lower() in {"yes", "on", "true", "1"}
