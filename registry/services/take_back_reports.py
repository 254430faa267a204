"""Taking reports of firms back: their visits stand no more, and everything stays in the store."""

from collections.abc import Collection
from dataclasses import replace
from datetime import datetime

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.reports_in import ReportIn
from registry.services.take_in_reports import ACT, KIND
from registry.services.write_reports import mended_note
from registry.store import Session, gate_visits, reports, reports_in, visits
from registry.store.import_runs import ImportRun, import_run, import_runs, note_undone
from registry.store.locks import lock_site
from registry.store.scope import scope_of

LONGEST_WHY = 200


def take_back_reports(
    session: Session, viewer: Viewer, visit_ids: Collection[str], why: str, now: datetime
) -> list[int]:
    """Take reports back: their visits stand no more, what they had mended waits again.

    Everything stays in the store. Return the sites that were touched.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    NotFoundError
        If one is no report that came in, or not the viewer's.
    RangeError
        If the reason is too long.
    ConflictError
        If one was taken back before.
    """
    require(viewer, ACT)
    if len(why) > LONGEST_WHY:
        raise RangeError(f"Write the reason in at most {LONGEST_WHY} letters.")
    found = reports_in.reports_in_of(session, visit_ids=visit_ids)
    seen = {one.visit_id for one in reports_in.reports_in(session, scope_of(viewer))}
    if len(found) != len(set(visit_ids)) or any(one.visit_id not in seen for one in found):
        raise NotFoundError("There is no such report, or it is not for your sign-in.")
    if any(one.taken_back_at is not None for one in found):
        raise ConflictError("This report was taken back before. Nothing was changed.")
    for one in found:
        lock_site(session, one.site_id)
        _take_back_notes(session, viewer, one, now)
    reports_in.take_back(session, [one.visit_id for one in found], viewer.name, why.strip(), now)
    return sorted({one.site_id for one in found})


def runs_of(session: Session, viewer: Viewer, limit: int = 20) -> list[ImportRun]:
    """Return the last files of reports that came in to what a viewer sees, newest first.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    """
    require(viewer, ACT)
    came = {
        (one.taken_in_at, one.source) for one in reports_in.reports_in(session, scope_of(viewer))
    }
    runs = [one for one in import_runs(session, 10 * limit) if one.kind == KIND]
    return [one for one in runs if (one.at, one.file_name) in came][:limit]


def take_back_run(
    session: Session, viewer: Viewer, run_id: int, now: datetime | None
) -> tuple[ImportRun, int, list[int]]:
    """Take all reports of one file back; return the import, how many, and the sites touched.

    Those that were taken back alone before are left out. ``now`` None = only say what
    would be done.

    Raises
    ------
    AccessError
        If the role may not take in reports.
    NotFoundError
        If there is no such import, or nothing of it is the viewer's.
    RangeError
        If it was taken back before.
    """
    require(viewer, ACT)
    run = import_run(session, run_id)
    came = reports_in.reports_in(session, scope_of(viewer), run=(run.at, run.file_name))
    if run.kind != KIND or not came:
        raise NotFoundError("There are no such reports, or they are not for your sign-in.")
    ids = [one.visit_id for one in came if one.taken_back_at is None]
    if not ids:
        raise RangeError(f"The reports of {run.file_name} were taken back already.")
    if now is None:
        return run, len(ids), []
    touched = take_back_reports(session, viewer, ids, f"import {run.id} taken back", now)
    note_undone(session, run.id, now, viewer.name)
    return run, len(ids), touched


def _take_back_notes(session: Session, viewer: Viewer, one: ReportIn, now: datetime) -> None:
    """Take back the readings of a report and what it noted as mended."""
    (visit,) = visits.visits_with_ids(session, [one.visit_id])
    gone = [
        replace(
            reading,
            id=f"{reading.id}-back",
            value=None,
            text="",
            note="taken back",
            supersedes=reading.id,
        )
        for reading in visit.readings
    ]
    visits.add_readings(session, gone)
    findings = [each.id for each in gate_visits.findings_of_sites(session, [one.site_id])]
    for note in reports.mended_in_force(session, findings).values():
        if note.note == mended_note(one.visit_id):
            reports.add_mended(
                session,
                replace(note, note="", noted_by=viewer.name, noted_at=now, takes_back=note.id),
            )
