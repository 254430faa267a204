"""Asking for a day to be ordered in a process of its own, and noting how that goes."""

from collections.abc import Callable
from datetime import date, datetime, timedelta

from registry.errors import ConflictError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.jobs import Job
from registry.services.see_day import firm_of, job_subject
from registry.store import Session, jobs

KIND = "order the day"
START_PATIENCE = timedelta(minutes=2)
"""A job without a process may be about to get one for so long."""


def ask_for_order(session: Session, viewer: Viewer, on_date: date, now: datetime) -> int:
    """Note that a day is to be ordered and return the job's id; the caller starts the process.

    Raises
    ------
    AccessError
        If the role may not order days.
    ConflictError
        If the same day is being ordered already.
    """
    require(viewer, "order the day")
    subject = job_subject(firm_of(session, viewer), on_date)
    before = jobs.newest_job(session, KIND, subject)
    if before is not None and before.is_open:
        raise ConflictError("This day is being ordered already. Wait until it is done.")
    return jobs.add_job(session, KIND, subject, viewer.name, now)


def job_to_stop(session: Session, viewer: Viewer, on_date: date) -> Job:
    """Return the ordering of a day that runs, so that the caller can stop its process.

    Raises
    ------
    AccessError
        If the role may not order days.
    ConflictError
        If the day is not being ordered.
    """
    require(viewer, "order the day")
    found = jobs.newest_job(session, KIND, job_subject(firm_of(session, viewer), on_date))
    if found is None or not found.is_open:
        raise ConflictError("This day is not being ordered any more. Load the page again.")
    return found


def note_progress(session: Session, job_id: int, progress: str, pid: int) -> None:
    """Note a sentence about a job that runs."""
    jobs.note_job(session, job_id, state="running", progress=progress, pid=pid)


def note_end(session: Session, job_id: int, *, ok: bool, text: str, now: datetime) -> None:
    """Note that a job ended, well or not, with a sentence for people."""
    jobs.note_job(session, job_id, state="done" if ok else "failed", progress=text, ended_at=now)


def note_started(session: Session, job_id: int, pid: int) -> None:
    """Note which process works on a job."""
    jobs.note_pid(session, job_id, pid)


def close_lost_jobs(session: Session, is_alive: Callable[[int], bool], now: datetime) -> list[Job]:
    """Mark jobs as failed whose process is gone, and return them.

    Called when the pages start, before a day is ordered, and while somebody waits for one.
    """
    lost = [one for one in jobs.open_jobs(session) if _is_lost(one, is_alive, now)]
    for one in lost:
        jobs.note_job(
            session,
            one.id,
            state="failed",
            progress="The program was stopped meanwhile. Order the day again.",
            ended_at=now,
        )
    return lost


def _is_lost(job: Job, is_alive: Callable[[int], bool], now: datetime) -> bool:
    if job.pid is None:
        return now - job.asked_at > START_PATIENCE
    return not is_alive(job.pid)
