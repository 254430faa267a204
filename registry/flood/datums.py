"""Vertical datums: two elevations are compared in one datum or not at all."""

from registry.errors import DatumError, RangeError
from registry.records.elevation import NAVD88, NGVD29, UNKNOWN_DATUM, Elevation

NO_SINGLE_SURFACE = frozenset({UNKNOWN_DATUM.upper(), "LOCAL TIDAL DATUM", "MSL", "MLLW"})
"""Words that do not name one surface: a tidal datum belongs to a gauge and an epoch, which the word
alone leaves out. Two elevations with the same such word need not stand on the same datum."""


def can_compare(one: Elevation, other: Elevation) -> bool:
    """Tell whether two elevations stand on the same, known vertical datum."""
    return one.datum == other.datum and one.datum.upper() not in NO_SINGLE_SURFACE


def freeboard_ft(equipment: Elevation, bfe: Elevation) -> float:
    """Return how far a piece of equipment stands above the base flood elevation.

    Parameters
    ----------
    equipment
        Elevation of its lowest part that water must not reach.
    bfe
        Base flood elevation (BFE).

    Returns
    -------
    float
        Equipment less BFE; below zero = under water in the 1 % flood. [ft]

    Raises
    ------
    DatumError
        If the two stand on different datums, or a datum is unknown.

    References
    ----------
    Freeboard = equipment elevation − BFE, by definition; NAVD 88 and NGVD 29 differ by an offset
    that varies from place to place (NFIP vertical datum conversion instructions).
    """
    if not can_compare(equipment, bfe):
        raise DatumError(
            f"equipment stands on {_named(equipment)} and the base flood elevation on "
            f"{_named(bfe)}: state the offset between the datums, or survey in the same one"
        )
    return equipment.value_ft - bfe.value_ft


def to_datum(
    elevation: Elevation, datum: str, ngvd29_to_navd88_ft: float | None = None
) -> Elevation:
    """Return an elevation in another vertical datum by a stated offset.

    Parameters
    ----------
    elevation
        The elevation.
    datum
        The datum wanted, in any usual spelling.
    ngvd29_to_navd88_ft
        What is added to an NGVD 29 elevation to make it NAVD 88 at this place; None = not stated.
        Below zero in much of the East, above it in the West. [ft]

    Returns
    -------
    Elevation
        The same height in the other datum; unchanged if it stands on it already.

    Raises
    ------
    DatumError
        If a datum is unknown, no offset was stated, or the pair is not NGVD 29 and NAVD 88.
    RangeError
        If the offset is not a number.

    References
    ----------
    NFIP vertical datum conversion instructions: NAVD 88 = NGVD 29 + offset.
    """
    wanted = Elevation(0.0, datum)
    if can_compare(elevation, wanted):
        return elevation
    if {elevation.datum, wanted.datum} != {NGVD29, NAVD88}:
        raise DatumError(
            f"no offset leads from {_named(elevation)} to {_named(wanted)}: survey in "
            f"{_named(wanted)}"
        )
    if ngvd29_to_navd88_ft is None:
        raise DatumError(
            f"no offset from NGVD29 to NAVD88 is stated for this place, so {elevation.datum} "
            f"cannot become {wanted.datum}: state it for the jurisdiction or give a grid"
        )
    if not abs(ngvd29_to_navd88_ft) < 100:
        raise RangeError(
            f"the offset from NGVD29 to NAVD88 is {ngvd29_to_navd88_ft:g} ft: give a few feet"
        )
    sign = 1 if wanted.datum == NAVD88 else -1
    return Elevation(elevation.value_ft + sign * ngvd29_to_navd88_ft, wanted.datum)


def _named(elevation: Elevation) -> str:
    """Return the datum in words."""
    return "an unknown datum" if elevation.datum == UNKNOWN_DATUM else elevation.datum
