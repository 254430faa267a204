"""A site's pressure field with what was last measured there, for its arithmetic."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from registry.errors import NotFoundError
from registry.field.last_readings import LastReading, last_readings
from registry.hydraulics.on_file import FieldOnFile, field_on_file
from registry.privacy import for_role, require
from registry.records.changes import Viewer
from registry.records.places import Site
from registry.records.systems import ComponentKind, System
from registry.services.seen_site import seen_site
from registry.store import Session, systems, visits


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldOfSite:
    """A site's field; ``squirt_in`` has the last height at each purge end, None = none.

    ``read_on`` is the day of the newest of these readings. ``pump_gpm`` counts only if it was
    measured on the same day as the heights, ``level_in`` is the last level in the pump tank.
    """

    site: Site
    field: FieldOnFile
    squirt_in: tuple[float | None, ...] = ()
    pump_gpm: float | None = None
    level_in: float | None = None
    read_on: date | None = None


def field_of_site(session: Session, viewer: Viewer, site_id: int) -> FieldOfSite:
    """Return the first system of a site that has laterals.

    Raises
    ------
    AccessError
        If the role may not read gate sheets.
    NotFoundError
        If there is no such site, it is not the viewer's, or it has no laterals.
    """
    require(viewer, "read a gate sheet")
    site = seen_site(session, viewer, site_id)
    for system in systems.systems_of_site(session, site_id):
        if any(one.kind is ComponentKind.LATERALS for one in system.components):
            return _field(session, for_role(site, viewer.role), system)
    raise NotFoundError(f"No laterals are on file at site {site.key}.")


def sites_with_laterals(session: Session, viewer: Viewer, site_ids: Iterable[int]) -> list[int]:
    """Return those of some sites that have laterals, in their order.

    Raises
    ------
    AccessError
        If the role may not read gate sheets.
    """
    require(viewer, "read a gate sheet")
    return [one for one in site_ids if has_laterals(tuple(systems.systems_of_site(session, one)))]


def has_laterals(parts: tuple[System, ...]) -> bool:
    """Tell whether one of a site's systems has laterals."""
    return any(one.kind is ComponentKind.LATERALS for system in parts for one in system.components)


def _field(session: Session, site: Site, system: System) -> FieldOfSite:
    found = last_readings(
        one
        for one in visits.readings_of_site(session, site.id)
        if one.system_id in (None, system.id)
    )
    at_end = {one.last.component_id: one.last for one in found.get("squirt height", ())}
    ends = [one for one in system.components if one.kind is ComponentKind.PURGE_END]
    read = [at_end.get(one.id) for one in ends]
    days = {one.read_on for one in read if one is not None}
    rate, level = (_newest(found.get(kind, ())) for kind in ("pump rate", "static level"))
    same_day = rate is not None and rate.last.read_on in days
    return FieldOfSite(
        site=site,
        field=field_on_file(system.components),
        squirt_in=tuple(None if one is None else one.value for one in read),
        pump_gpm=rate.last.value if rate is not None and same_day else None,
        level_in=level.last.value if level is not None else None,
        read_on=max(days, default=None),
    )


def _newest(found: tuple[LastReading, ...]) -> LastReading | None:
    return max(found, key=lambda one: one.last.read_on, default=None)
