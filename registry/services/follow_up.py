"""Follow-up visits: which findings they see to, and that these are mended once that is done."""

from datetime import date, datetime

from registry.records.changes import Viewer
from registry.records.gate_visit import SERIOUS, Ending, Finding, GateVisit
from registry.records.reports import FindingMended
from registry.records.visits import FOLLOW_UP
from registry.store import Session, gate_visits, reports
from registry.store.scope import Scope

NOTE = "follow-up visit"
"""How the notes that a follow-up visit makes begin."""


def findings_to_see_to(
    session: Session, site_id: int, on_date: date, but_of: str = ""
) -> list[Finding]:
    """Return the open findings that a follow-up on a date sees to.

    They are the serious ones and the faults that are due; where there are none, all that is open.

    Parameters
    ----------
    but_of
        The id of a visit whose own findings are left out.
    """
    found = [
        one
        for one, _ in reports.open_findings(session, Scope(), on_date, [site_id])
        if one.visit_id != but_of
    ]
    due = [one for one in found if one.seriousness == SERIOUS or _is_due(one, on_date)]
    return due or found


def note_follow_up(
    session: Session, viewer: Viewer, visit: GateVisit, who: str, now: datetime
) -> None:
    """Note as mended what a follow-up that was done saw to; one that was done partly mends nothing.

    A correction that says that it was not done takes the notes of what it corrects back.

    Parameters
    ----------
    who
        Who made the visit.
    """
    old = gate_visits.gate_visit(session, visit.supersedes) if visit.supersedes else None
    was_done, is_done = old is not None and _is_done(old), _is_done(visit)
    if is_done and not was_done:
        for one in findings_to_see_to(session, visit.site_id, visit.on_date, visit.id):
            mended = FindingMended(
                finding_id=one.id,
                mended_on=visit.on_date,
                note=f"{NOTE}, {who}",
                noted_by=viewer.name,
                noted_at=now,
            )
            reports.add_mended(session, mended)
    if old is not None and was_done and not is_done:
        _take_back(session, viewer, old, now)


def _is_due(one: Finding, on_date: date) -> bool:
    return one.follow_up_on is not None and one.follow_up_on <= on_date


def _is_done(visit: GateVisit) -> bool:
    return any(one.task == FOLLOW_UP and one.outcome is Ending.DONE for one in visit.outcomes)


def _take_back(session: Session, viewer: Viewer, old: GateVisit, now: datetime) -> None:
    found = [one.id for one in gate_visits.findings_of_sites(session, [old.site_id])]
    for note in reports.mended_in_force(session, found).values():
        if note.mended_on == old.on_date and note.note.startswith(NOTE):
            taken = FindingMended(
                finding_id=note.finding_id,
                mended_on=note.mended_on,
                noted_by=viewer.name,
                noted_at=now,
                takes_back=note.id,
            )
            reports.add_mended(session, taken)
