"""How high each placed part stands above or below the base flood elevation."""

from collections.abc import Iterable
from dataclasses import replace

from registry.errors import DatumError
from registry.field.place import PlacedPart
from registry.flood import freeboard_ft, to_datum
from registry.records.elevation import Elevation


def with_heights(
    parts: Iterable[PlacedPart], bfe: Elevation | None, ngvd29_to_navd88_ft: float | None = None
) -> tuple[PlacedPart, ...]:
    """Return the parts with their freeboard against a base flood elevation (BFE).

    Parameters
    ----------
    parts
        The placed parts.
    bfe
        Base flood elevation at the site; None leaves every freeboard unknown.
    ngvd29_to_navd88_ft
        The jurisdiction's stated offset between the vertical datums; None = not stated. [ft]

    Returns
    -------
    tuple[PlacedPart, ...]
        The same parts; where an elevation stands on a datum that cannot be compared, the freeboard
        stays unknown and ``freeboard_why`` says why. A part without an elevation says nothing.
    """
    return tuple(_with_height(part, bfe, ngvd29_to_navd88_ft) for part in parts)


def _with_height(
    part: PlacedPart, bfe: Elevation | None, ngvd29_to_navd88_ft: float | None
) -> PlacedPart:
    height = part.component.elevation
    if height is None or bfe is None:
        return part
    try:
        same = to_datum(height, bfe.datum, ngvd29_to_navd88_ft)
        return replace(part, freeboard_ft=freeboard_ft(same, bfe))
    except DatumError:
        why = f"height against BFE unknown: {height.datum} and {bfe.datum} cannot be compared"
        return replace(part, freeboard_why=why)
