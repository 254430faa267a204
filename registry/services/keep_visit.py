"""Storing a visit with what it supersedes, and holding the visit that its findings ask for."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime

from registry.records.changes import Viewer
from registry.records.gate_visit import SERIOUS, Ending, GateVisit
from registry.records.places import Site
from registry.records.visits import Hold, Reading, VisitRecord
from registry.services.follow_up import note_follow_up
from registry.store import Session, days, gate_visits, names, visits


def keep_visit(
    session: Session,
    viewer: Viewer,
    firm_id: int,
    visit: GateVisit,
    digest: str,
    now: datetime,
    settles: Sequence[str] = (),
) -> None:
    """Store the visit, its readings and findings; readings take the place of those corrected.

    A follow-up that was done mends what it saw to.

    ``settles`` are further records of the same visit over which this one stands.
    """
    by_id = {number: name for name, number in names.technician_ids(session, firm_id).items()}
    follow_up = visit.ending is not Ending.DONE or any(one.follow_up_on for one in visit.findings)
    outcome = "follow-up owed" if follow_up else "in order"
    record = VisitRecord(
        id=visit.id,
        site_id=visit.site_id,
        on_date=visit.on_date,
        technician=by_id.get(visit.technician_id or 0, viewer.name),
        technician_id=visit.technician_id,
        outcome="not reached" if visit.ending is Ending.NOT_REACHED else outcome,
        done=tuple(
            (one.system_id, one.task) for one in visit.outcomes if one.outcome is Ending.DONE
        ),
        note=" ".join(filter(None, (visit.left_open, visit.note))),
        recorded_by=viewer.name,
        recorded_at=now,
        supersedes=visit.supersedes,
        readings=tuple(_with_supersedes(session, visit, settles)),
    )
    visits.record_visit(session, record, now)
    gate_visits.add_gate_visit(session, visit, digest)
    gate_visits.settle(session, visit.id, settles)
    note_follow_up(session, viewer, visit, record.technician, now)


def _with_supersedes(session: Session, visit: GateVisit, settles: Sequence[str]) -> list[Reading]:
    """Return the readings to store: each in the place of the one that it corrects, if any.

    A reading that the correction no longer has is taken back by one that says nothing; so is each
    reading of a further record of the same visit.
    """
    if not visit.supersedes:
        return list(visit.readings)
    (old,) = visits.visits_with_ids(session, [visit.supersedes])
    before = {_place(one): one for one in _in_force(old)}
    kept = [
        replace(one, supersedes=before[_place(one)].id) if _place(one) in before else one
        for one in visit.readings
    ]
    there = {_place(one) for one in kept}
    further = visits.visits_with_ids(session, settles)
    gone = [
        replace(
            one,
            id=f"{visit.id}-{one.id}",
            visit_id=visit.id,
            value=None,
            text="",
            note="taken back",
            supersedes=one.id,
        )
        for one in (
            *(one for place, one in before.items() if place not in there),
            *(one for other in further for one in _in_force(other)),
        )
    ]
    return [*kept, *gone]


def _in_force(visit: VisitRecord) -> list[Reading]:
    """Return the readings of a visit that none of its own corrects."""
    corrected = {one.supersedes for one in visit.readings if one.supersedes}
    return [one for one in visit.readings if one.id not in corrected]


def _place(one: Reading) -> tuple[str, int | None, int | None]:
    return one.kind, one.system_id, one.component_id


def hold_follow_up(
    session: Session, viewer: Viewer, site: Site, visit: GateVisit, now: datetime
) -> None:
    """Hold a visit for the serious findings; one that is held already keeps what was promised."""
    serious = [one for one in visit.findings if one.seriousness == SERIOUS and one.follow_up_on]
    if not serious:
        return
    on_date = min(one.follow_up_on for one in serious if one.follow_up_on)
    held = days.holds_on(session, site.firm_id, on_date)
    if any(one.site_id == site.id for one in held):
        return
    kinds = ", ".join(dict.fromkeys(one.kind for one in serious))
    hold = Hold(
        site_id=site.id,
        on_date=on_date,
        note=f"follow-up: {kinds}, found {visit.on_date}",
        held_by=viewer.name,
    )
    days.put_hold(session, site.firm_id, hold, now)
