"""What must hold between the fields of a row once they are changed; pure."""

from collections.abc import Mapping
from typing import Any

from registry.records.geodesy import geodesic_m
from registry.records.places import Box, LonLat

FAR_FROM_SITE_M = 2_000.0
"""A component farther from its site than this is a slip; common practice, no source. [m]"""


def complaints_of(
    kind: str, values: Mapping[str, Any], box: Box | None, site_at: LonLat | None
) -> list[str]:
    """Return what is wrong with a row as it would be, in sentences.

    Parameters
    ----------
    kind
        Which kind of row it is.
    values
        All its fields by name.
    box
        The bounds of the jurisdiction, None where they are not on file.
    site_at
        Where the site of a component is, None where it is to be located.
    """
    place = values.get("position")
    found = []
    if kind == "site" and place and box and not box.holds(place):
        found.append("The position lies outside the jurisdiction. Check latitude and longitude.")
    if kind == "component" and place and site_at:
        away_m = geodesic_m(place, site_at)
        if away_m > FAR_FROM_SITE_M:
            found.append(
                f"The component would lie {away_m:,.0f} m from its site. Check the position."
            )
    if bool(values.get("season_from")) != bool(values.get("season_to")):
        found.append("A season has a first and a last day. Give both, or neither.")
    starts_on, ends_on = values.get("starts_on"), values.get("ends_on")
    if starts_on and ends_on and ends_on < starts_on:
        found.append("The agreement ends before it begins. Correct one of the dates.")
    if values.get("elevation_ft") is not None and not values.get("elevation_datum"):
        found.append("An elevation needs its vertical datum, for example NAVD88.")
    return found
