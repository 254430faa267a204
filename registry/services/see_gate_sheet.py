"""The gate sheet of a site for a date, as a technician reads it."""

from dataclasses import dataclass
from datetime import date

from registry.field.gate_sheet import GateSheet, gate_sheet
from registry.privacy import for_role, require
from registry.records.changes import Role, Viewer
from registry.records.day import Route, Stop
from registry.records.places import Jurisdiction, Site
from registry.records.systems import System
from registry.services.datum_offsets import offset_ft
from registry.services.due_visits import due_visit
from registry.services.field_of_site import has_laterals
from registry.services.seen_site import seen_site
from registry.store import Session, days, flood_facts, places, rules, systems, visits


@dataclass(frozen=True, slots=True, kw_only=True)
class GateView:
    """A gate sheet with what the day says of the visit.

    ``stop`` None = on no route that date, or on one that is not the viewer's to see.
    """

    sheet: GateSheet
    systems: tuple[System, ...]
    jurisdiction: Jurisdiction
    route: Route | None
    stop: Stop | None
    has_laterals: bool


def see_gate_sheet(session: Session, viewer: Viewer, site_id: int, on_date: date) -> GateView:
    """Return the gate sheet of a site for a date.

    Raises
    ------
    AccessError
        If the role may not read gate sheets.
    NotFoundError
        If there is no such site, or it is not the viewer's.
    """
    require(viewer, "read a gate sheet")
    site = seen_site(session, viewer, site_id)
    kept = systems.systems_of_site(session, site_id)
    place = places.jurisdiction(session, site.jurisdiction_id)
    route, stop = _on_route(session, viewer, site, on_date)
    visit = due_visit(session, site_id, on_date)
    return GateView(
        sheet=gate_sheet(
            for_role(site, viewer.role),
            kept,
            visit,
            {one.code: one for one in rules.task_kinds(session)},
            on_date=on_date,
            fact=flood_facts.facts_of_sites(session, [site_id]).get(site_id),
            readings=visits.readings_of_site(session, site_id, with_superseded=True),
            ngvd29_to_navd88_ft=offset_ft(session, site.lon_lat, place.ngvd29_to_navd88_ft),
        ),
        systems=tuple(kept),
        jurisdiction=place,
        route=route,
        stop=stop,
        has_laterals=has_laterals(tuple(kept)),
    )


def _on_route(
    session: Session, viewer: Viewer, site: Site, on_date: date
) -> tuple[Route | None, Stop | None]:
    day = days.day_of(session, site.firm_id, on_date)
    for route in day.routes if day else ():
        if viewer.role is Role.TECHNICIAN and route.technician_id != viewer.technician_id:
            continue
        for stop in route.visits:
            if stop.site_id == site.id:
                return route, stop
    return None, None
