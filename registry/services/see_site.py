"""Everything kept about one site, as a viewer may see it."""

from dataclasses import dataclass, replace

from registry.field.heights import with_heights
from registry.field.place import PlacedPart, place_parts
from registry.privacy import for_role, require, sees_change
from registry.records.changes import Change, Viewer
from registry.records.flood import FloodFact
from registry.records.places import Agreement, Firm, Jurisdiction, Site
from registry.records.systems import System
from registry.records.visits import Reading, VisitRecord
from registry.records.work import IntervalRule, Obligation, TaskKind
from registry.services.datum_offsets import offset_ft
from registry.services.seen_site import seen_site
from registry.store import (
    Session,
    flood_facts,
    history,
    obligations,
    places,
    rules,
    systems,
    visits,
)

HISTORY_LINES = 200
"""Newest lines of the history that a page shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteFile:
    """One site with all that hangs on it; ``readings`` include superseded ones, oldest first."""

    site: Site
    firm: Firm
    jurisdiction: Jurisdiction
    systems: tuple[System, ...]
    parts: tuple[PlacedPart, ...]
    fact: FloodFact | None
    obligations: tuple[Obligation, ...]
    rules: dict[str, IntervalRule]
    tasks: dict[str, TaskKind]
    agreements: tuple[Agreement, ...]
    visits: tuple[VisitRecord, ...]
    readings: tuple[Reading, ...]
    history: tuple[Change, ...]


def see_site(session: Session, viewer: Viewer, site_id: int) -> SiteFile:
    """Return the file of one site, without the fields that the viewer's role may not see.

    Raises
    ------
    AccessError
        If the role may not read site files.
    NotFoundError
        If there is no such site, or it is not the viewer's: both are answered alike.
    """
    require(viewer, "read a site file")
    site = seen_site(session, viewer, site_id)
    kept = systems.systems_of_site(session, site_id)
    fact = flood_facts.facts_of_sites(session, [site_id]).get(site_id)
    components = [part for system in kept for part in system.components]
    place = places.jurisdiction(session, site.jurisdiction_id)
    datum_ft = offset_ft(session, site.lon_lat, place.ngvd29_to_navd88_ft)
    shown = for_role(site, viewer.role)
    return SiteFile(
        site=shown,
        firm=replace(places.firm(session, site.firm_id), phone=""),
        jurisdiction=place,
        systems=tuple(kept),
        parts=with_heights(place_parts(site, components), fact.bfe if fact else None, datum_ft),
        fact=fact,
        obligations=tuple(
            for_role(one, viewer.role)
            for one in obligations.obligations_of_sites(session, [site_id])
        ),
        rules={one.code: one for one in rules.rules(session)},
        tasks={one.code: one for one in rules.task_kinds(session)},
        agreements=tuple(
            for_role(one, viewer.role) for one in places.agreements_of_sites(session, [site_id])
        ),
        visits=tuple(for_role(one, viewer.role) for one in visits.visits_of_site(session, site_id)),
        readings=tuple(
            for_role(one, viewer.role)
            for one in visits.readings_of_site(session, site_id, with_superseded=True)
        ),
        history=tuple(
            one
            for one in history.history_of(session, site_id, limit=HISTORY_LINES)
            if sees_change(viewer, one)
        ),
    )
