"""Noting that a report was sent or a finding mended; a note made by mistake is taken back."""

from dataclasses import replace
from datetime import date, datetime

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.reports import FindingMended, ReportSent, ReportTo
from registry.services.seen_site import seen_site
from registry.store import Session, gate_visits, reports, visits
from registry.store.locks import lock_site

ACT = "note a report sent"
LONGEST_WORDS = 200


def note_sent(
    session: Session, viewer: Viewer, sent: ReportSent, today: date, now: datetime
) -> None:
    """Note that the report of a visit was sent.

    Raises
    ------
    AccessError
        If the role may not note it.
    NotFoundError
        If there is no such visit, or it is not the viewer's.
    RangeError
        If it lies in the future or before the visit, or the note is too long.
    ConflictError
        If it was noted already, or the visit was corrected.
    """
    require(viewer, ACT)
    visited_on = _own_visit(session, viewer, sent.visit_id)
    if gate_visits.superseded_by(session, sent.visit_id):
        raise ConflictError("This record was corrected. Send the report of the record in force.")
    _check(sent.sent_on, visited_on, today, sent.note, "The report")
    _note(session, viewer, sent, _sent_to(session, sent.visit_id, sent.to), now)


def take_back_sent(
    session: Session, viewer: Viewer, visit_id: str, to: ReportTo, now: datetime
) -> None:
    """Take back the note that a report was sent; both stay in the store.

    Raises
    ------
    AccessError
        If the role may not note it.
    NotFoundError
        If there is no such visit or note, or it is not the viewer's.
    """
    require(viewer, ACT)
    _own_visit(session, viewer, visit_id)
    standing = _sent_to(session, visit_id, to)
    _take_back(
        session, viewer, standing, now, f"No report of this visit to the {to} is noted as sent."
    )


def note_mended(
    session: Session, viewer: Viewer, mended: FindingMended, today: date, now: datetime
) -> None:
    """Note that a finding was mended.

    Raises
    ------
    AccessError
        If the role may not note it.
    NotFoundError
        If there is no such finding, or it is not the viewer's.
    RangeError
        If it lies in the future or before the finding, or the note is too long.
    ConflictError
        If it was noted already.
    """
    require(viewer, ACT)
    found_on = _own_finding(session, viewer, mended.finding_id)
    _check(mended.mended_on, found_on, today, mended.note, "The mending")
    _note(session, viewer, mended, _mended(session, mended.finding_id), now)


def take_back_mended(session: Session, viewer: Viewer, finding_id: str, now: datetime) -> None:
    """Take back the note that a finding was mended; both stay in the store.

    Raises
    ------
    AccessError
        If the role may not note it.
    NotFoundError
        If there is no such finding or note, or it is not the viewer's.
    """
    require(viewer, ACT)
    _own_finding(session, viewer, finding_id)
    standing = _mended(session, finding_id)
    _take_back(session, viewer, standing, now, "This finding is not noted as mended.")


def _note[N: (ReportSent, FindingMended)](
    session: Session, viewer: Viewer, one: N, standing: N | None, now: datetime
) -> None:
    """Keep a note by its viewer, unless one of its kind stands already."""
    if standing is not None:
        raise ConflictError(
            f"It is noted already: {_said(standing)}. If that is wrong, take the note back first."
        )
    _add(session, replace(one, noted_by=viewer.name, noted_at=now))


def _take_back[N: (ReportSent, FindingMended)](
    session: Session, viewer: Viewer, standing: N | None, now: datetime, absent: str
) -> None:
    """Keep a note that takes the standing one back; ``absent`` is said where none stands."""
    if standing is None:
        raise NotFoundError(absent)
    taken = replace(standing, note="", noted_by=viewer.name, noted_at=now, takes_back=standing.id)
    _add(session, taken)


def _said(one: ReportSent | FindingMended) -> str:
    if isinstance(one, ReportSent):
        return f"sent to the {one.to} on {one.sent_on}"
    return f"mended on {one.mended_on}"


def _add(session: Session, one: ReportSent | FindingMended) -> None:
    if isinstance(one, ReportSent):
        reports.add_sent(session, one)
    else:
        reports.add_mended(session, one)


def _own_visit(session: Session, viewer: Viewer, visit_id: str) -> date:
    """Return the date of a visit whose site is the viewer's, and hold the site."""
    found = visits.visits_with_ids(session, [visit_id])
    if not found:
        raise NotFoundError("There is no such visit, or it is not for your sign-in.")
    seen_site(session, viewer, found[0].site_id)
    lock_site(session, found[0].site_id)
    return found[0].on_date


def _own_finding(session: Session, viewer: Viewer, finding_id: str) -> date:
    one = reports.finding(session, finding_id)
    if one is None:
        raise NotFoundError("There is no such finding, or it is not for your sign-in.")
    return _own_visit(session, viewer, one.visit_id)


def _sent_to(session: Session, visit_id: str, to: ReportTo) -> ReportSent | None:
    sent = reports.sent_in_force(session, [visit_id])
    return next((one for one in sent if one.to == to), None)


def _mended(session: Session, finding_id: str) -> FindingMended | None:
    return reports.mended_in_force(session, [finding_id]).get(finding_id)


def _check(on_date: date, earliest: date, today: date, note: str, what: str) -> None:
    if on_date > today:
        raise RangeError(f"{what} lies in the future. Mend the date.")
    if on_date < earliest:
        raise RangeError(f"{what} lies before the visit of {earliest}. Mend the date.")
    if len(note) > LONGEST_WORDS:
        raise RangeError(f"Write the note in at most {LONGEST_WORDS} letters.")
