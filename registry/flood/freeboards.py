"""Freeboard of a site's equipment against the base flood elevation, and why it may be unknown."""

from dataclasses import dataclass

from registry.errors import DatumError
from registry.flood.datums import freeboard_ft, to_datum
from registry.flood.sites import FloodSite
from registry.records.elevation import UNKNOWN_DATUM, Elevation

NO_ELEVATION = "no elevation measured"


@dataclass(frozen=True, slots=True)
class Freeboard:
    """The least freeboard of a site's equipment.

    ``is_below`` is True if any equipment stands below the base flood elevation, None if that cannot
    be said of all of it.
    """

    is_below: bool | None = None
    lowest_ft: float | None = None
    lowest_component: str = ""
    unknown_why: str = ""


def freeboard_of(site: FloodSite, bfe: Elevation) -> Freeboard:
    """Return the least freeboard of a site's equipment, all of it brought to the BFE's datum.

    Parameters
    ----------
    site
        The site with its equipment and the jurisdiction's stated offset.
    bfe
        Base flood elevation (BFE) at the site.

    Returns
    -------
    Freeboard
        With the reason in words where something is unknown.
    """
    if not site.equipment:
        return Freeboard(unknown_why=NO_ELEVATION)
    known, unlike = [], []
    for label, elevation in site.equipment:
        try:
            level = to_datum(elevation, bfe.datum, site.ngvd29_to_navd88_ft)
            known.append((freeboard_ft(level, bfe), label))
        except DatumError:
            unlike.append(f"{label} {_on(elevation)}")
    why = f"datums differ: {', '.join(unlike)}, BFE {_on(bfe)}" if unlike else ""
    if not known:
        return Freeboard(unknown_why=why)
    lowest_ft, label = min(known)
    is_below = True if lowest_ft < 0 else None if unlike else False
    return Freeboard(is_below, lowest_ft, label, why)


def _on(elevation: Elevation) -> str:
    """Return in words which datum an elevation stands on."""
    if elevation.datum == UNKNOWN_DATUM:
        return "without a stated datum"
    return f"on {elevation.datum}"
