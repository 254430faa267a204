"""One visit as it is told afterwards: to the owner, the authority, and whoever corrects it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
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
from registry.records.reports import FindingMended, ReportState
from registry.records.visits import VisitRecord
from registry.records.work import Obligation, TaskKind
from registry.services.note_report import ACT as NOTE_ACT
from registry.services.see_reports import mend_by, reports_of_visits
from registry.services.seen_site import seen_site
from registry.services.visit_form import ACT, form_of
from registry.store import (
    Session,
    gate_visits,
    obligations,
    places,
    reports,
    rules,
    systems,
    visits,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class VisitView:
    """A visit with what its report says; ``gate`` None = it was not recorded at a gate.

    ``labels`` names components by id. ``reports`` is how the reports of the visit stand, none for
    one that was corrected, or came in a file and has no note on them. ``mend_by`` says by finding
    until when it is to be mended and who sets that, ``mended`` which are.
    ``corrected_by`` is the visit that stands in its place, ``corrects`` the one that it corrects,
    ``settles`` further records of the same visit over which it stands.
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
    on_date: date
    reports: tuple[ReportState, ...]
    mend_by: dict[str, tuple[date | None, str]]
    mended: dict[str, FindingMended]
    corrected_by: str
    corrects: str
    settles: tuple[str, ...]
    may_correct: bool
    may_note: bool


def see_visit(
    session: Session, viewer: Viewer, visit_id: str, today: Callable[[str], date]
) -> VisitView:
    """Return a visit as a viewer may see it; ``today`` gives the date that it is in a time zone.

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
    asked_for = rules.report_rules(session)
    on_date = today(place.time_zone)
    mended = reports.mended_in_force(session, [one.id for one in findings])
    return VisitView(
        site=for_role(site, viewer.role),
        firm=places.firm(session, site.firm_id),
        jurisdiction=place,
        visit=for_role(visit, viewer.role),
        gate=for_role(gate, viewer.role) if gate else None,
        form=form_of(session, site, kept, asked, visit.on_date, visit_id),
        findings=tuple(for_role(one, viewer.role) for one in findings),
        duties={one.id: duty_words(asked_for, one.seriousness, place.rule_set) for one in findings},
        due=tuple(
            for_role(one, viewer.role)
            for one in obligations.obligations_of_sites(session, [site.id])
        ),
        tasks={one.code: one for one in rules.task_kinds(session)},
        labels={one.id: part_label(one) for one in components},
        on_date=on_date,
        reports=reports_of_visits(session, viewer, [visit_id], on_date).get(visit_id, ()),
        mend_by={one.id: mend_by(asked_for, one, visit.on_date, place) for one in findings},
        mended={key: for_role(one, viewer.role) for key, one in mended.items()},
        corrected_by=gate_visits.superseded_by(session, visit_id),
        corrects=visit.supersedes,
        settles=tuple(gate_visits.settled_by(session, visit_id)),
        may_correct=may(viewer, ACT),
        may_note=may(viewer, NOTE_ACT),
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
