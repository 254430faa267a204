"""A row of a site's file as groups of form fields."""

from collections.abc import Mapping
from dataclasses import dataclass

from registry.privacy import WHERE
from registry.services.edit_site import EditedRow
from registry.services.file_fields import FileField

GROUPS: dict[str, tuple[str, ...]] = {
    "Position": ("position", "position_source", "position_accuracy_m"),
    "Address": ("address", "town", "parcel", "jurisdiction"),
    "Gate and access": ("access_note", "gate_note", "gate_code", "windows", "exceptions"),
    "Hazards": ("hazards",),
    "Owner": ("owner_name", "owner_phone", "owner_email", "owner_address"),
    "House": ("water_available_gal", "occupied_share", "season_from", "season_to"),
    "Corners": (*("corner_note", "corner_b_note", "corner_b_bearing_deg", "corner_b_distance_ft"),),
}
"""Title of a group → its fields; what no group names stands under “Further”."""
HELP = {
    "position": "Latitude, longitude in degrees, as 44.97231, -139.98765",
    "position_source": "For example survey, phone GPS, by pointing, parcel centre",
    "hazards": "One on each line, as dog: loose in the yard",
    "windows": "One on each line, as mon-fri 08:00-17:00",
    "exceptions": "One on each line, as 2026-07-03 closed, or 2026-07-06 10:00-12:00 (note)",
    "includes": "One on each line",
    "season_from": "As 05-15",
    "season_to": "As 10-15",
}
SEVERAL = ("hazards", "windows", "exceptions", "includes")
"""Fields that hold a list: each part stands on a line of its own."""


@dataclass(frozen=True, slots=True)
class FormField:
    """One field of the form: ``text`` is shown, ``was`` is what stood there when it was opened."""

    field: FileField
    text: str
    was: str
    at_once: bool

    @property
    def help(self) -> str:
        """How to write it."""
        return HELP.get(self.field.name, "")


def edit_groups(
    row: EditedRow, given: Mapping[str, str], was: Mapping[str, str]
) -> list[tuple[str, list[FormField]]]:
    """Return the fields in groups with what was typed before, where a form comes back."""
    made = {
        one.field.name: FormField(
            one.field,
            given.get(one.field.name, _shown(one.field.name, one.text)),
            was.get(one.field.name, one.text),
            one.at_once,
        )
        for one in row.fields
    }
    groups = {
        title: [made.pop(name) for name in names if name in made] for title, names in GROUPS.items()
    }
    groups["Further" if any(groups.values()) else "What is known"] = list(made.values())
    return [(title, fields) for title, fields in groups.items() if fields]


def has_position(row: EditedRow) -> bool:
    """Tell whether the row's place may be changed."""
    return any(one.field.name in WHERE for one in row.fields)


def _shown(name: str, text: str) -> str:
    return text.replace("; ", "\n") if name in SEVERAL else text
