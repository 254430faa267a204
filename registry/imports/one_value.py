"""One value that a person typed into a form or a command, by the same rules as a file's cell."""

from collections.abc import Callable
from typing import Any

from registry.imports.cells import Fault, fault_in
from registry.imports.dates import DateColumn
from registry.imports.fields import Field
from registry.imports.numbers import numbers, shortened
from registry.imports.words import hazards, listed, month_day, plain, word_of, yes_no
from registry.records.places import LonLat

LONGEST = 4_000
"""Characters of one field."""


def value_of(field: Field, text: str) -> Any | Fault:  # noqa: ANN401 - a value of any field
    """Return what a text says in a field, or what is wrong with it; None where it says nothing.

    Texts are not None but "", lists an empty list.
    """
    said = text.replace("\r\n", "\n").strip()
    if len(said) > LONGEST:
        return Fault(f"it has {len(said):,} characters", f"Write at most {LONGEST:,}")
    if field.kind in {"number", "count"}:
        return _number(field, said)
    return fault_in(said) or _READERS[field.kind](field, said)


def place_of(text: str) -> LonLat | Fault | None:
    """Return the place of ``44.97231, -139.98765``: latitude first, as maps say it."""
    if not text.strip():
        return None
    parts = text.replace(",", " ").split()
    try:
        lat, lon = (float(one) for one in parts)
    except ValueError:
        return Fault(
            f"“{shortened(text)}” is no place",
            "Write latitude and longitude in degrees, as 44.97231, -139.98765",
        )
    if not (abs(lat) <= 90 and abs(lon) <= 180):
        return Fault(
            f"“{shortened(text)}” is no place on earth",
            "Write latitude first: it lies between -90 and 90",
        )
    return LonLat(lon, lat)


def _number(field: Field, said: str) -> Any | Fault:  # noqa: ANN401 - a number or None
    values, faults = numbers([said], field)
    if faults:
        return faults[0]
    value = values[0]
    return int(value) if value is not None and field.kind == "count" else value


def _date(_field: Field, said: str) -> Any | Fault:  # noqa: ANN401 - a date or None
    values, faults = DateColumn().read([said])
    return faults[0] if faults else values[0]


def _word(field: Field, said: str) -> str | Fault | None:
    return word_of(said, {plain(one): one for one in field.words})


_READERS: dict[str, Callable[[Field, str], Any]] = {
    "text": lambda _field, said: said,
    "name": lambda _field, said: said,
    "date": _date,
    "yes-no": lambda _field, said: yes_no(said),
    "word": _word,
    "hazards": lambda _field, said: hazards(said.replace("\n", ";")),
    "list": lambda _field, said: listed(said.replace("\n", ";")),
    "month-day": lambda _field, said: month_day(said),
}
