"""What the flood facts of a site are worked out from."""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.records.elevation import Elevation
from registry.records.places import Jurisdiction, LonLat, Site
from registry.records.systems import System


@dataclass(frozen=True, slots=True, kw_only=True)
class FloodSite:
    """A site as the flood layers see it.

    ``equipment`` pairs each component that has an elevation with its label;
    ``ngvd29_to_navd88_ft`` is the offset that the jurisdiction states, None = not stated.
    """

    site_id: int
    lon_lat: LonLat | None
    equipment: tuple[tuple[str, Elevation], ...] = ()
    ngvd29_to_navd88_ft: float | None = None


def flood_site(
    site: Site, systems: Iterable[System], jurisdiction: Jurisdiction | None = None
) -> FloodSite:
    """Return a site as the flood layers see it, with its components that have an elevation."""
    return FloodSite(
        site_id=site.id,
        lon_lat=site.lon_lat,
        equipment=tuple(
            (component.label or component.kind.value, component.elevation)
            for system in systems
            for component in system.components
            if component.elevation is not None
        ),
        ngvd29_to_navd88_ft=jurisdiction.ngvd29_to_navd88_ft if jurisdiction else None,
    )


def positions_deg(sites: Iterable[FloodSite]) -> NDArray[np.float64]:
    """Return the sites' longitudes and latitudes, (n, 2), NaN where there is none. [deg]."""
    nowhere = (np.nan, np.nan)
    return np.array([site.lon_lat or nowhere for site in sites], dtype=float).reshape(-1, 2)
