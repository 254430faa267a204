"""What the Day page shows: the plan in force, the job that orders it, what is held."""

from dataclasses import dataclass, replace
from datetime import date

from registry.errors import NotFoundError
from registry.privacy import may, require
from registry.records.changes import Role, Viewer
from registry.records.day import Day
from registry.records.jobs import Job
from registry.records.visits import Hold
from registry.services.done_stops import told_done
from registry.store import Session, days, jobs, names, sites

ORDER = "order the day"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayView:
    """One date as a viewer may see it; ``day`` None = not planned yet. Times are in ``zone``.

    ``held_elsewhere`` are the held visits that the plan does not show yet, each with its site's
    number: they were held after it was made, or it is still to be made.
    """

    firm_id: int
    zone: str
    on_date: date
    day: Day | None
    job: Job | None
    holds: tuple[Hold, ...]
    held_elsewhere: tuple[tuple[Hold, str], ...]
    technicians: dict[int, str]


def firm_of(session: Session, viewer: Viewer) -> int:
    """Return the firm whose day the viewer sees: their own, or the only one there is.

    Raises
    ------
    NotFoundError
        If it cannot be told which firm is meant.
    """
    if viewer.firm_id is not None:
        return viewer.firm_id
    firms = names.firm_ids(session)
    if len(firms) != 1:
        raise NotFoundError(
            "This sign-in belongs to no firm, so there is no day to show. Sign in as a firm's "
            "dispatcher; where there is no firm yet, import a crew first."
        )
    return next(iter(firms.values()))


def job_subject(firm_id: int, on_date: date) -> str:
    """Return what a job that orders a day is noted under."""
    return f"{firm_id}/{on_date.isoformat()}"


def see_day(session: Session, viewer: Viewer, on_date: date) -> DayView:
    """Return one date as a viewer may see it; a technician sees the own route only.

    Raises
    ------
    AccessError
        If the role may not see days.
    """
    require(viewer, "see the day")
    firm_id = firm_of(session, viewer)
    day = days.day_of(session, firm_id, on_date)
    if day is not None:
        waiting = sorted(day.waiting, key=lambda one: (not one.held, -one.days_overdue, one.site))
        day = told_done(session, replace(day, waiting=tuple(waiting)))
    if day is not None and viewer.role is Role.TECHNICIAN:
        own = tuple(one for one in day.routes if one.technician_id == viewer.technician_id)
        day = replace(day, routes=own, waiting=())
    known = names.technician_ids(session, firm_id)
    holds = days.holds_on(session, firm_id, on_date) if viewer.role is not Role.TECHNICIAN else []
    return DayView(
        firm_id=firm_id,
        zone=names.zone_of_firm(session, firm_id),
        on_date=on_date,
        day=day,
        job=_told_of(viewer, jobs.newest_job(session, ORDER, job_subject(firm_id, on_date))),
        holds=tuple(holds),
        held_elsewhere=_not_shown(session, holds, day),
        technicians={id_: name for name, id_ in known.items()},
    )


def _told_of(viewer: Viewer, job: Job | None) -> Job | None:
    """Return a job as its viewer may see it: what it says of sites is for who orders the day."""
    if job is None or may(viewer, ORDER):
        return job
    return replace(job, progress="", asked_by="") if job.is_open else None


def _not_shown(
    session: Session, holds: list[Hold], day: Day | None
) -> tuple[tuple[Hold, str], ...]:
    shown: set[int] = set()
    if day is not None:
        shown |= {stop.site_id for route in day.routes for stop in route.visits}
        shown |= {one.site_id for one in day.waiting}
    left = {one.site_id: one for one in holds if one.site_id not in shown}
    return tuple((left[site.id], site.key) for site in sites.sites(session, left))
