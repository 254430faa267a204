"""What a visit to a site is held to: tasks with their readings, states, return-to-service items."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from registry.due.visits import ALARM_CALL
from registry.errors import NotFoundError
from registry.field.part_states import state_asks
from registry.field.return_to_service import return_to_service
from registry.field.task_forms import Owed, TaskForm, further_forms, on_file, task_forms
from registry.field.visit_checks import VisitForm
from registry.privacy import for_role, require
from registry.records.changes import Viewer
from registry.records.places import Jurisdiction, Site
from registry.records.reports import ReportRule
from registry.records.systems import System
from registry.records.visits import BEFORE_WATER, FOLLOW_UP, Reading
from registry.records.work import TaskKind
from registry.services.due_visits import due_visit
from registry.services.follow_up import findings_to_see_to
from registry.services.own_route import is_off_route
from registry.services.seen_site import seen_site
from registry.store import Session, crew, gate_visits, obligations, places, rules, systems, visits
from registry.store.merges import records_of

ACT = "record a visit"


@dataclass(frozen=True, slots=True, kw_only=True)
class FormView:
    """The form of a visit with what a page shows beside it; ``owed`` is what is due there.

    ``duties`` are the rules on reports, which say what is asked after a finding. ``is_off_route``:
    the viewer is a technician on whose route of the date the site is not. ``added`` are the
    codes of further tasks that were asked for, ``further`` the forms of those that can still be
    added: a phone without signal does it by itself.
    """

    site: Site
    systems: tuple[System, ...]
    jurisdiction: Jurisdiction
    on_date: date
    form: VisitForm
    owed: tuple[Owed, ...]
    tasks: tuple[TaskKind, ...]
    technicians: tuple[tuple[int, str], ...]
    duties: tuple[ReportRule, ...]
    is_off_route: bool
    added: tuple[str, ...] = ()
    further: tuple[TaskForm, ...] = ()


def see_visit_form(
    session: Session,
    viewer: Viewer,
    site_id: int,
    on_date: date,
    more: Sequence[str] = (),
    corrects: str = "",
) -> FormView:
    """Return the form of a visit to a site on a date, for what is due there and for more tasks.

    Parameters
    ----------
    more
        Codes of further tasks, done at the first system of the site.
    corrects
        The id of a visit that is corrected; the form is for the tasks of that one.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If there is no such site, it is not the viewer's, or the visit is not one of it.
    """
    require(viewer, ACT)
    site = seen_site(session, viewer, site_id)
    kept = systems.systems_of_site(session, site_id)
    old = gate_visits.gate_visit(session, corrects) if corrects else None
    if old is not None and old.site_id not in records_of(session, [site_id]):
        raise NotFoundError("The visit that is to be corrected is not one of this site.")
    owed = [(one.system_id, one.task) for one in old.outcomes] if old else []
    owed = owed or [*owed_on(session, site_id, on_date, kept)]
    owed += [(kept[0].id, code) for code in more if kept and (kept[0].id, code) not in owed]
    form = form_of(session, site, kept, owed, on_date, corrects)
    kinds = task_kinds_here(session, site_id, on_date, corrects)
    waits = findings_to_see_to(session, site_id, on_date, corrects)
    may_be_added = {
        code: one for code, one in kinds.items() if one.readings or (code == FOLLOW_UP and waits)
    }
    return FormView(
        site=for_role(site, viewer.role),
        systems=tuple(kept),
        jurisdiction=places.jurisdiction(session, site.jurisdiction_id),
        on_date=on_date,
        form=form,
        owed=tuple(owed),
        tasks=tuple(may_be_added.values()),
        technicians=tuple((one.id, one.name) for one in crew.technicians(session, site.firm_id)),
        duties=tuple(rules.report_rules(session)),
        is_off_route=not corrects and is_off_route(session, viewer, site, on_date),
        added=tuple(more),
        further=further_forms(
            kept, form.tasks, may_be_added, form.kinds, _before(session, site, on_date, corrects)
        ),
    )


def form_of(
    session: Session,
    site: Site,
    kept: Sequence[System],
    owed: Sequence[Owed],
    on_date: date,
    corrects: str = "",
) -> VisitForm:
    """Return what a visit for some tasks is held to: readings are compared with those before it.

    Readings of later visits, and of the visit that this one corrects, are no readings before it.
    """
    readings = _before(session, site, on_date, corrects)
    kinds = rules.reading_kinds(session)
    components = [part for system in kept for part in system.components]
    items = return_to_service(components)
    return VisitForm(
        tasks=task_forms(
            kept, owed, task_kinds_here(session, site.id, on_date, corrects), kinds, readings
        ),
        asks=tuple(state_asks(components, items)),
        items=items,
        on_file={one.id: on_file(one, readings) for one in kept},
        kinds=kinds,
        components=tuple(components),
        has_hazards=bool(site.hazards),
    )


def task_kinds_here(
    session: Session, site_id: int, on_date: date, but_of: str = ""
) -> dict[str, TaskKind]:
    """Return the kinds of tasks by code; a follow-up names what it sees to at a site."""
    kinds = {one.code: one for one in rules.task_kinds(session)}
    found = findings_to_see_to(session, site_id, on_date, but_of)
    if found and FOLLOW_UP in kinds:
        named = ", ".join(dict.fromkeys(one.kind for one in found))
        kinds[FOLLOW_UP] = replace(kinds[FOLLOW_UP], name=f"{kinds[FOLLOW_UP].name}: {named}")
    return kinds


def _before(session: Session, site: Site, on_date: date, corrects: str) -> list[Reading]:
    """Return the readings that those of a visit are compared with."""
    return [
        one
        for one in visits.readings_of_site(session, site.id)
        if one.read_on <= on_date and one.visit_id != corrects
    ]


def owed_on(
    session: Session, site_id: int, on_date: date, kept: Sequence[System]
) -> Iterable[Owed]:
    """Return the tasks of the visit that is due at a site, with a held one's follow-up or call."""
    visit = due_visit(session, site_id, on_date)
    if visit is None:
        return []
    ids = set(visit.obligation_ids)
    owed = [
        (one.system_id, one.task)
        for one in obligations.obligations_of_sites(session, [site_id])
        if one.id in ids
    ]
    if kept:
        beside = (FOLLOW_UP, BEFORE_WATER, ALARM_CALL)
        owed += [(kept[0].id, one) for one in beside if one in visit.tasks]
    return owed
