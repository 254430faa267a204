"""Everything kept about one site, as a viewer may see it."""

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import date

from registry.field.heights import with_heights
from registry.field.place import PlacedPart, place_parts
from registry.privacy import for_role, may, require, sees_change
from registry.records.changes import Change, Viewer
from registry.records.flood import FloodFact
from registry.records.gate_visit import Finding, GateVisit
from registry.records.letters import Letter
from registry.records.places import Agreement, Firm, Jurisdiction, Site
from registry.records.reading_kinds import ReadingKind
from registry.records.reports import FindingMended, ReportState
from registry.records.systems import System
from registry.records.visits import DueVisit, Reading, VisitRecord
from registry.records.work import IntervalRule, Obligation, TaskKind
from registry.services.datum_offsets import offset_ft
from registry.services.due_visits import due_visit
from registry.services.explain_due import explain_due
from registry.services.see_reports import reports_of_visits
from registry.services.seen_site import seen_site
from registry.store import (
    Session,
    flood_facts,
    gate_visits,
    history,
    letters,
    obligations,
    places,
    reports,
    rules,
    systems,
    visits,
)

HISTORY_LINES = 200
"""Newest lines of the history that a page shows."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteFile:
    """One site with all that hangs on it; ``readings`` include superseded ones, oldest first.

    ``gate_visits`` are those visits that were recorded at the gate, by id. ``looked_at`` says
    by system and task which rules were looked at, ``visit`` is the visit that is due; both are left
    out for who may not read gate sheets, since they tell of the household. ``reports`` is how the
    reports of each visit stand, ``mended`` which findings are mended, ``letters`` when the
    owner was written to and by whom.
    """

    site: Site
    firm: Firm
    jurisdiction: Jurisdiction
    systems: tuple[System, ...]
    parts: tuple[PlacedPart, ...]
    fact: FloodFact | None
    on_date: date
    obligations: tuple[Obligation, ...]
    looked_at: dict[tuple[int, str], tuple[str, ...]]
    visit: DueVisit | None
    rules: dict[str, IntervalRule]
    tasks: dict[str, TaskKind]
    agreements: tuple[Agreement, ...]
    visits: tuple[VisitRecord, ...]
    readings: tuple[Reading, ...]
    gate_visits: dict[str, GateVisit]
    findings: tuple[Finding, ...]
    reports: dict[str, tuple[ReportState, ...]]
    mended: dict[str, FindingMended]
    letters: tuple[Letter, ...]
    reading_kinds: dict[str, ReadingKind]
    history: tuple[Change, ...]


def see_site(
    session: Session, viewer: Viewer, site_id: int, today: Callable[[str], date]
) -> SiteFile:
    """Return the file of one site, without the fields that the viewer's role may not see.

    Parameters
    ----------
    session, viewer, site_id
        Which site, and who asks.
    today
        Gives the date that it is in a time zone.

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
    on_date = today(place.time_zone)
    made = visits.visits_of_site(session, site_id)
    findings = gate_visits.findings_of_sites(session, [site_id])
    mended = reports.mended_in_force(session, [one.id for one in findings])
    of_the_firm = may(viewer, "read a gate sheet")
    return SiteFile(
        site=for_role(site, viewer.role),
        on_date=on_date,
        looked_at=_looked_at(session, site_id, on_date) if of_the_firm else {},
        visit=due_visit(session, site_id, on_date) if of_the_firm else None,
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
        visits=tuple(for_role(one, viewer.role) for one in made),
        readings=tuple(
            for_role(one, viewer.role)
            for one in visits.readings_of_site(session, site_id, with_superseded=True)
        ),
        gate_visits={
            one.id: for_role(one, viewer.role)
            for one in gate_visits.gate_visits(session, [one.id for one in made]).values()
        },
        findings=tuple(for_role(one, viewer.role) for one in findings),
        reports=reports_of_visits(session, viewer, [one.id for one in made], on_date),
        mended={key: for_role(one, viewer.role) for key, one in mended.items()},
        letters=tuple(letters.letters_to_site(session, site_id)),
        reading_kinds=rules.reading_kinds(session),
        history=tuple(
            one
            for one in history.history_of(session, site_id, limit=HISTORY_LINES)
            if sees_change(viewer, one)
        ),
    )


def _looked_at(
    session: Session, site_id: int, on_date: date
) -> dict[tuple[int, str], tuple[str, ...]]:
    return {
        (one.obligation.system_id, one.task): one.sentences
        for one in explain_due(session, site_id, on_date)
        if one.obligation is not None
    }
