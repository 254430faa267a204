"""What a pace dial shows of each part, in numbers and in words."""

from collections.abc import Sequence
from dataclasses import dataclass

from registry.field.place import PlacedPart
from web.present import bearing, feet, freeboard, paces


@dataclass(frozen=True, slots=True)
class DialPart:
    """One part as seen from the reference corner; bearings from true north.

    ``kind`` is the component's kind and chooses the sign. ``other_bearing_deg`` is the second
    possible place, at the same distance. A part without bearing or distance stands in the list
    only, with ``note``. ``freeboard_why`` says why a height against the base flood elevation is
    not known; empty where none is asked for.
    """

    label: str
    bearing_deg: float | None
    distance_ft: float | None
    freeboard_ft: float | None = None
    kind: str = ""
    other_bearing_deg: float | None = None
    note: str = ""
    freeboard_why: str = ""

    @property
    def is_placed(self) -> bool:
        """Whether it has a place on the dial."""
        return self.bearing_deg is not None and self.distance_ft is not None

    @property
    def is_below_bfe(self) -> bool:
        """Whether it is known to lie below the base flood elevation."""
        return self.freeboard_ft is not None and self.freeboard_ft < 0

    def way(self) -> str:
        """Return how to walk there: bearing, feet and paces."""
        if self.bearing_deg is None or self.distance_ft is None:
            return "not placed"
        turn = bearing(self.bearing_deg)
        if self.other_bearing_deg is not None:
            turn += f" or {bearing(self.other_bearing_deg)}"
        return f"{turn} · {feet(self.distance_ft, 0)} · {paces(self.distance_ft)}"

    def height(self) -> str:
        """Return the height against the base flood elevation, empty where nothing is said of it."""
        if self.freeboard_ft is None:
            return self.freeboard_why
        return freeboard(self.freeboard_ft)


def dial_parts(parts: Sequence[PlacedPart]) -> tuple[DialPart, ...]:
    """Return the parts of a site as the dial takes them, in the order of their numbers."""
    return tuple(
        DialPart(
            label=part.label,
            bearing_deg=part.bearing_deg,
            distance_ft=part.distance_ft,
            freeboard_ft=part.freeboard_ft,
            kind=part.component.kind.value,
            other_bearing_deg=part.other_bearing_deg,
            note=part.note,
            freeboard_why=part.freeboard_why,
        )
        for part in parts
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class DialRow:
    """One row of the table that says what the dial draws."""

    number: int
    label: str
    bearing: str
    distance: str
    paces: str
    height: str
    is_below_bfe: bool
    note: str


def dial_table(parts: Sequence[DialPart]) -> tuple[DialRow, ...]:
    """Return the parts in words, with the numbers of the dial."""
    return tuple(
        DialRow(
            number=at,
            label=part.label,
            bearing=_bearing(part),
            distance=feet(part.distance_ft, 0) if part.is_placed else "",
            paces=paces(part.distance_ft) if part.is_placed else "",
            height=part.height(),
            is_below_bfe=part.is_below_bfe,
            note=part.note,
        )
        for at, part in enumerate(parts, 1)
    )


def _bearing(part: DialPart) -> str:
    if not part.is_placed:
        return "not placed"
    other = part.other_bearing_deg
    return bearing(part.bearing_deg) + (f" or {bearing(other)}" if other is not None else "")
