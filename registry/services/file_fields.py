"""The fields of a site's file that people change: what each is called and how its text is read."""

from collections.abc import Callable
from dataclasses import dataclass
from functools import partial
from typing import Any

from registry.imports import fields as known
from registry.imports.cells import Fault
from registry.imports.fields import Field
from registry.imports.hours import dated_hours, weekly_hours
from registry.imports.one_value import place_of, value_of
from registry.records.places import Agreement, Site
from registry.records.systems import Component, System

RECORDS: dict[str, type] = {
    "site": Site,
    "system": System,
    "component": Component,
    "agreement": Agreement,
}
"""Kind of a row, as the history names it → its record."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FileField:
    """One field: ``read`` turns its text into a value, None where it says nothing, or a fault.

    ``blank`` is kept where the text says nothing; ``needed`` where that is not possible. ``lines``
    is True where a person writes several lines. ``words`` are those to choose from.
    """

    name: str
    label: str
    read: Callable[[str], Any]
    unit: str = ""
    blank: Any = None
    needed: bool = False
    lines: bool = False
    words: tuple[str, ...] = ()


_LABELS = {
    "position": "Position",
    "position_source": "How the position is known",
    "position_accuracy_m": "Exact to",
    "access_note": "Access",
    "gate_note": "Gate",
    "gate_code": "Gate code",
    "private_note": "Private note",
    "corner_note": "Reference corner",
    "corner_b_note": "Second corner",
    "corner_b_bearing_deg": "Second corner, bearing from the first",
    "corner_b_distance_ft": "Second corner, distance from the first",
    "owner_name": "Owner's name",
    "owner_phone": "Owner's phone",
    "owner_email": "Owner's email",
    "owner_address": "Owner's address",
    "water_available_gal": "Water on site",
    "occupied_share": "Lived in, part of the year (0 to 1)",
    "season_from": "Season from (month-day)",
    "season_to": "Season to (month-day)",
    "active": "Still serviced",
    "windows": "Weekly hours",
    "exceptions": "Hours on single dates",
    "permit_no": "Permit number",
    "design_flow_gpd": "Design flow",
    "people": "People who live there",
    "installed_on": "Installed on",
    "bearing_deg": "Bearing from the reference corner",
    "distance_ft": "Distance from the reference corner",
    "tie_a_ft": "Tie to the reference corner",
    "tie_b_ft": "Tie to the second corner",
    "cover_in": "Cover",
    "elevation_ft": "Elevation",
    "elevation_datum": "Vertical datum of the elevation",
    "count": "How many",
    "length_ft": "Length",
    "pipe_in": "Pipe",
    "orifice_in": "Orifices",
    "spacing_ft": "Spacing",
    "capacity_gal": "Capacity",
    "gal_per_in": "Gallons per inch",
    "has_riser": "Riser",
    "starts_on": "Begins on",
    "ends_on": "Ends on",
    "visits_a_year": "Visits a year",
    "renews_on": "Renews on",
}
_LINES = ("access_note", "gate_note", "private_note", "note", "hazards", "includes", "renewal")
_NEEDED = ("active", "kind", "starts_on", "jurisdiction")
_BLANKS: dict[str, Any] = {"occupied_share": 1.0}
_BY_KIND: dict[str, Any] = {"text": "", "name": "", "month-day": "", "hazards": [], "list": []}
_SKIPPED = ("lon", "lat", "site", "system", "system_key")


def _typed(field: Field) -> FileField:
    return FileField(
        name=field.name,
        label=label_of(field.name),
        read=partial(value_of, field),
        unit=field.unit,
        blank=_BLANKS.get(field.name, _BY_KIND.get(field.kind)),
        needed=field.name in _NEEDED,
        lines=field.name in _LINES,
        words=field.words or (("yes", "no") if field.kind == "yes-no" else ()),
    )


def label_of(name: str) -> str:
    """Return what people call a field."""
    return _LABELS.get(name) or name.replace("_", " ").capitalize()


def _own(name: str, read: Callable[[str], Any], blank: Any, *, lines: bool = False) -> FileField:  # noqa: ANN401
    return FileField(name=name, label=label_of(name), read=read, blank=blank, lines=lines)


def _all(*fields: FileField) -> dict[str, FileField]:
    return {one.name: one for one in fields}


_POSITION = _own("position", place_of, None)
_EXACT = [
    _typed(one) for one in known.SITE if one.name in {"position_source", "position_accuracy_m"}
]

FILE_FIELDS: dict[str, dict[str, FileField]] = {
    "site": _all(
        _POSITION,
        *(_typed(one) for one in known.SITE if one.name not in _SKIPPED),
        _own("windows", weekly_hours, (), lines=True),
        _own("exceptions", dated_hours, (), lines=True),
    ),
    "system": _all(*(_typed(one) for one in known.SYSTEM)),
    "component": _all(
        _POSITION,
        *_EXACT,
        *(_typed(one) for one in known.COMPONENTS if one.name not in _SKIPPED),
    ),
    "agreement": _all(*(_typed(one) for one in known.AGREEMENTS if one.name not in _SKIPPED)),
}
"""Kind of a row → the fields of it that people change, by name."""


def read_text(field: FileField, text: str) -> Any | Fault:  # noqa: ANN401 - a value of any field
    """Return the value of a field that a text stands for, the blank one where it says nothing."""
    value = field.read(text)
    if isinstance(value, Fault):
        return value
    if value is None or value in ("", [], ()):
        return Fault("it must not be empty", "Choose one") if field.needed else field.blank
    return value
