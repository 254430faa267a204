"""Recording a visit from the gate or from paper, and all that follows from it at once."""

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.field.closing import how_it_ended, still_owed
from registry.field.findings import follow_up_on, report_by
from registry.field.read_record import named_tasks, read_record
from registry.field.record_fields import FieldReader
from registry.field.visit_checks import VISIT_WORDS, complaints, open_words, with_values
from registry.privacy import require
from registry.records.changes import Role, Viewer
from registry.records.gate_visit import Ending, Finding, GateVisit, TaskOutcome
from registry.records.places import Jurisdiction, Site
from registry.services.keep_visit import hold_follow_up, keep_visit
from registry.services.note_visit import note_ending, note_off_route
from registry.services.own_route import is_off_route
from registry.services.recompute_due import recompute_due
from registry.services.seen_site import seen_site
from registry.services.visit_form import ACT, form_of
from registry.store import Session, gate_visits, names, places, rules, systems, visits
from registry.store.bodies import to_body
from registry.store.locks import lock_site
from registry.store.merges import records_of

LONGEST_WHY = 150
SAME_CLOCK_S = 5.0
"""A device's clock that differs by no more than this is right: the way takes as long."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """What recording did; ``is_new`` False = it was kept before and nothing was changed.

    ``owed`` are tasks that are still due, ``left_open`` says what else is, ``findings`` hold the
    follow-up visits that were made from them.
    """

    visit_id: str
    is_new: bool
    ending: Ending
    owed: tuple[TaskOutcome, ...] = ()
    left_open: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()


def record_visit(
    session: Session,
    viewer: Viewer,
    body: Mapping[str, Any],
    now: datetime,
    today: Callable[[str], date],
    *,
    sent_at: datetime | None = None,
    settles: Sequence[str] = (),
) -> Recorded:
    """Keep a visit and bring up to date what hangs on it; the same record twice changes nothing.

    Only tasks that were done count as done; the rest stays due. Serious findings make a follow-up
    visit, held on the next working day. A correction supersedes another visit with all its
    readings, which stay in the store.

    Parameters
    ----------
    body
        The record, see docs/gate.md. It says of each task that it names how that went.
    now
        The server's clock.
    today
        Gives the date that it is in a time zone.
    sent_at
        What the device's clock showed when it sent the record: its offset corrects all moments of
        the record. None where the server's clock was used.
    settles
        Further records of the same visit over which this one stands; its values were held to their
        form when they were recorded first.

    Raises
    ------
    AccessError
        If the role may not record visits.
    NotFoundError
        If the site or the technician is not the viewer's.
    RangeError
        If the record is not complete or a reading cannot be; all complaints are said at once.
    ConflictError
        If another record is kept under this id, or what it corrects was corrected already.
    """
    require(viewer, ACT)
    given = str(body.get("site_id", ""))
    site = seen_site(session, viewer, int(given) if given.isascii() and given.isdigit() else 0)
    place = places.jurisdiction(session, site.jurisdiction_id)
    sent = read_record(body, place.time_zone)
    lock_site(session, site.id)
    digest = _digest(sent)
    if _is_kept(session, sent, digest):
        return Recorded(visit_id=sent.id, is_new=False, ending=sent.ending)
    visit = _on_our_clock(_by_whom(session, viewer, site, sent), sent_at, now, place)
    on_date = today(place.time_zone)
    if visit.on_date > on_date:
        raise RangeError("The visit lies in the future. Mend its date.")
    off_route = not visit.supersedes and is_off_route(session, viewer, site, visit.on_date)
    why_here = FieldReader().text(body, "off_route")[:LONGEST_WHY] if off_route else ""
    visit = _at_what_it_corrects(session, visit)
    holds = site if site.merged_into_id is None else seen_site(session, viewer, site.merged_into_id)
    kept = systems.systems_of_sites(session, {site.id, holds.id})
    form = form_of(session, site, kept, named_tasks(body), visit.on_date, visit.supersedes)
    said = [] if settles else complaints(visit, form)
    if off_route and not why_here:
        said.insert(0, VISIT_WORDS["off route"])
    if said:
        raise RangeError("\n".join(said))
    visit = with_values(visit, form)
    told = f"Off the route: {why_here}." if why_here else ""
    visit = replace(
        visit,
        note=" ".join(filter(None, (told, visit.note))),
        ending=how_it_ended(visit.outcomes, visit.ending),
        findings=_with_duties(session, visit, place, now),
    )
    keep_visit(session, viewer, site.firm_id, visit, digest, now, settles)
    hold_follow_up(session, viewer, holds, visit, now)
    if visit.on_date == on_date and not visit.from_paper and not visit.supersedes:
        note_ending(session, viewer, site, visit, now, place.time_zone)
    if why_here:
        note_off_route(session, viewer, site, visit, why_here, now, place.time_zone)
    recompute_due(session, on_date, {site.id, holds.id})
    return Recorded(
        visit_id=visit.id,
        is_new=True,
        ending=visit.ending,
        owed=still_owed(visit),
        left_open=open_words(visit, form),
        findings=visit.findings,
    )


def _digest(visit: GateVisit) -> str:
    """Return what tells one record from another, without how a device's clock stood."""
    body = to_body(replace(visit, device_offset_s=None))
    return hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


def _is_kept(session: Session, visit: GateVisit, digest: str) -> bool:
    kept = gate_visits.digest_of(session, visit.id)
    if kept is None and not visits.visits_with_ids(session, [visit.id]):
        return False
    if kept != digest:
        raise ConflictError(
            "Another visit is kept under this id. Record a correction with an id of its own."
        )
    return True


def _by_whom(session: Session, viewer: Viewer, site: Site, visit: GateVisit) -> GateVisit:
    if viewer.role is Role.TECHNICIAN:
        return replace(visit, technician_id=viewer.technician_id)
    known = names.technician_ids(session, site.firm_id).values()
    if visit.technician_id is not None and visit.technician_id not in known:
        raise NotFoundError("There is no such technician in your firm.")
    return visit


def _on_our_clock(
    visit: GateVisit, sent_at: datetime | None, now: datetime, place: Jurisdiction
) -> GateVisit:
    """Return a visit with its device's offset, on the day on which it was by the server's clock."""
    offset_s = visit.device_offset_s
    if offset_s is None and sent_at is not None:
        offset_s = round((now - sent_at).total_seconds(), 1)
    if offset_s is None or abs(offset_s) <= SAME_CLOCK_S:
        return visit
    visit = replace(visit, device_offset_s=offset_s)
    if visit.arrived_at is None:
        return visit
    right = visit.arrived_at + timedelta(seconds=offset_s)
    on_date = right.astimezone(ZoneInfo(place.time_zone)).date()
    readings = tuple(replace(one, read_on=on_date) for one in visit.readings)
    return replace(visit, on_date=on_date, readings=readings)


def _at_what_it_corrects(session: Session, visit: GateVisit) -> GateVisit:
    """Return a correction under the record of the site under which it was that it corrects."""
    if not visit.supersedes:
        return visit
    found = visits.visits_with_ids(session, [visit.supersedes])
    if not found or found[0].site_id not in records_of(session, [visit.site_id]):
        raise NotFoundError("The visit that this record corrects is not one of this site.")
    if gate_visits.superseded_by(session, visit.supersedes):
        raise ConflictError(
            "That visit was corrected meanwhile. Open its correction and correct that one."
        )
    site_id = found[0].site_id
    return replace(
        visit,
        site_id=site_id,
        readings=tuple(replace(one, site_id=site_id) for one in visit.readings),
        findings=tuple(replace(one, site_id=site_id) for one in visit.findings),
    )


def _with_duties(
    session: Session, visit: GateVisit, place: Jurisdiction, now: datetime
) -> tuple[Finding, ...]:
    """Return the findings with what the rule set asks and the days of their follow-up visits."""
    found_at = visit.arrived_at or now
    if visit.device_offset_s is not None and visit.arrived_at is not None:
        found_at += timedelta(seconds=visit.device_offset_s)
    asked = rules.report_rules(session) if visit.findings else []
    return tuple(
        replace(
            one,
            report_by=report_by(asked, one.seriousness, place.rule_set, found_at.astimezone(UTC)),
            follow_up_on=follow_up_on(one.seriousness, visit.on_date),
        )
        for one in visit.findings
    )
