"""What is added to NGVD 29 to make NAVD 88 at a place: as the jurisdiction states, else by grid."""

from collections.abc import Iterable
from dataclasses import replace

from registry.flood.grids import OffsetGrid, grid_offset_ft
from registry.flood.sites import FloodSite
from registry.imports.offset_grid import offset_grid
from registry.records.elevation import NGVD29
from registry.records.places import LonLat
from registry.store import Session, datum_grids

_GRIDS: dict[str, OffsetGrid] = {}
"""Grids by the digest of their file, so that each is read once a process."""


def grids(session: Session) -> list[OffsetGrid]:
    """Return the grids that were imported, by name."""
    found = []
    for digest in datum_grids.grid_digests(session):
        if digest not in _GRIDS:
            name, body = datum_grids.grid_body(session, digest)
            _GRIDS[digest] = offset_grid(name, body)
        found.append(_GRIDS[digest])
    return found


def offset_ft(session: Session, place: LonLat | None, stated_ft: float | None) -> float | None:
    """Return the offset at a place, None where it is neither stated nor in a grid. [ft]."""
    if stated_ft is not None or place is None:
        return stated_ft
    return _by_grid(grids(session), place)


def with_offsets(session: Session, sites: Iterable[FloodSite]) -> list[FloodSite]:
    """Return the sites with the offset by grid where equipment is on NGVD 29 and none is stated."""
    known = grids(session)
    return [
        replace(site, ngvd29_to_navd88_ft=_by_grid(known, site.lon_lat))
        if known and _needs_one(site) and site.lon_lat is not None
        else site
        for site in sites
    ]


def _needs_one(site: FloodSite) -> bool:
    return site.ngvd29_to_navd88_ft is None and any(
        height.datum == NGVD29 for _, height in site.equipment
    )


def _by_grid(known: Iterable[OffsetGrid], place: LonLat) -> float | None:
    offsets = (grid_offset_ft(grid, place) for grid in known)
    return next((one for one in offsets if one is not None), None)
