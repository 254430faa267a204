"""One visit as it is told afterwards: to the owner, the authority, and whoever corrects it."""

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from registry.errors import NotFoundError
from registry.field.as_record import as_gate_visit, as_record
from registry.field.findings import duty_words
from registry.field.place import part_label
from registry.field.visit_checks import VisitForm
from registry.privacy import for_role, may, require
from registry.records.changes import Viewer
from registry.records.gate_visit import Finding, GateVisit
from registry.records.places import Firm, Jurisdiction, Site
from registry.records.visits import VisitRecord
from registry.records.work import Obligation, TaskKind
from registry.services.seen_site import seen_site
from registry.services.visit_form import ACT, form_of
from registry.store import (
    Session,
    gate_visits,
    obligations,
    places,
    rules,
    systems,
    visits,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitView:
    """A visit with what its report says; ``gate`` None = it was not recorded at a gate.

    ``labels`` names components by id. ``report_due_on`` is when the authority wants the report.
    ``corrected_by`` is the visit that stands in its place, ``corrects`` the one that it corrects.
    """

    site: Site
    firm: Firm
    jurisdiction: Jurisdiction
    visit: VisitRecord
    gate: GateVisit | None
    form: VisitForm
    findings: tuple[Finding, ...]
    duties: dict[str, str]
    due: tuple[Obligation, ...]
    tasks: dict[str, TaskKind]
    labels: dict[int, str]
    report_due_on: date | None
    corrected_by: str
    corrects: str
    may_correct: bool


def see_visit(session: Session, viewer: Viewer, visit_id: str) -> VisitView:
    """Return a visit as a viewer may see it.

    Raises
    ------
    AccessError
        If the role may not read site files.
    NotFoundError
        If there is no such visit, or its site is not the viewer's.
    """
    require(viewer, "read a site file")
    visit = _visit(session, visit_id)
    site = seen_site(session, viewer, visit.site_id)
    place = places.jurisdiction(session, site.jurisdiction_id)
    kept = systems.systems_of_site(session, site.id)
    components = [part for system in kept for part in system.components]
    gate = gate_visits.gate_visit(session, visit_id)
    asked = [(one.system_id, one.task) for one in gate.outcomes] if gate else list(visit.done)
    findings = gate.findings if gate else ()
    due_on = visit.on_date + timedelta(days=place.report_days) if place.report_days else None
    return VisitView(
        site=for_role(site, viewer.role),
        firm=places.firm(session, site.firm_id),
        jurisdiction=place,
        visit=for_role(visit, viewer.role),
        gate=for_role(gate, viewer.role) if gate else None,
        form=form_of(session, site, kept, asked, visit.on_date, visit_id),
        findings=tuple(for_role(one, viewer.role) for one in findings),
        duties={one.id: duty_words(one.seriousness, place.rule_set) for one in findings},
        due=tuple(
            for_role(one, viewer.role)
            for one in obligations.obligations_of_sites(session, [site.id])
        ),
        tasks={one.code: one for one in rules.task_kinds(session)},
        labels={one.id: part_label(one) for one in components},
        report_due_on=due_on,
        corrected_by=gate_visits.superseded_by(session, visit_id),
        corrects=visit.supersedes,
        may_correct=may(viewer, ACT),
    )


def visit_to_correct(session: Session, viewer: Viewer, visit_id: str) -> dict[str, Any]:
    """Return a visit as the record that would say it, to be corrected.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If there is no such visit, or its site is not the viewer's.
    """
    require(viewer, ACT)
    visit = _visit(session, visit_id)
    seen_site(session, viewer, visit.site_id)
    return as_record(gate_visits.gate_visit(session, visit_id) or as_gate_visit(visit))


def _visit(session: Session, visit_id: str) -> VisitRecord:
    found = visits.visits_with_ids(session, [visit_id])
    if not found:
        raise NotFoundError("There is no such visit, or it is not for your sign-in.")
    return found[0]
