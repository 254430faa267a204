"""Jobs: what was asked for, by whom, and how far it has come."""

from datetime import datetime

from sqlalchemy import func, select, update
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.records.jobs import Job
from registry.store.tables import JobRow

OPEN = ("queued", "running")
"""States of a job that has not ended."""


def add_job(session: Session, kind: str, subject: str, asked_by: str, now: datetime) -> int:
    """Add a queued job and return its id."""
    row = JobRow(kind=kind, subject=subject, asked_by=asked_by, asked_at=now, state="queued")
    session.add(row)
    session.flush()
    return row.id


def job(session: Session, job_id: int) -> Job:
    """Return one job.

    Raises
    ------
    NotFoundError
        If there is no such job.
    """
    row = session.get(JobRow, job_id)
    if row is None:
        raise NotFoundError("There is no such job.")
    return _record(row)


def newest_job(session: Session, kind: str, subject: str) -> Job | None:
    """Return the newest job of a kind for a subject, None if there never was one."""
    row = session.scalar(
        select(JobRow)
        .where(JobRow.kind == kind, JobRow.subject == subject)
        .order_by(JobRow.id.desc())
        .limit(1)
    )
    return None if row is None else _record(row)


def open_jobs(session: Session) -> list[Job]:
    """Return the jobs that have not ended."""
    rows = session.scalars(select(JobRow).where(JobRow.state.in_(OPEN)))
    return [_record(row) for row in rows]


def count_open(session: Session) -> dict[str, int]:
    """Return how many jobs are queued and how many run, 0 where none."""
    asked = (
        select(JobRow.state, func.count().label("jobs"))
        .where(JobRow.state.in_(OPEN))
        .group_by(JobRow.state)
    )
    return dict.fromkeys(OPEN, 0) | {one.state: one.jobs for one in session.execute(asked)}


def note_pid(session: Session, job_id: int, pid: int) -> None:
    """Note which process works on a job; how far it has come stays as it is."""
    session.execute(update(JobRow).where(JobRow.id == job_id).values(pid=pid))


def note_job(
    session: Session,
    job_id: int,
    *,
    state: str,
    progress: str,
    pid: int | None = None,
    ended_at: datetime | None = None,
) -> None:
    """Note how far a job has come."""
    values: dict[str, object] = {"state": state, "progress": progress, "ended_at": ended_at}
    if pid is not None:
        values["pid"] = pid
    session.execute(update(JobRow).where(JobRow.id == job_id).values(values))


def _record(row: JobRow) -> Job:
    return Job(
        id=row.id,
        kind=row.kind,
        subject=row.subject,
        state=row.state,
        progress=row.progress,
        asked_by=row.asked_by,
        asked_at=row.asked_at,
        ended_at=row.ended_at,
        pid=row.pid,
    )
