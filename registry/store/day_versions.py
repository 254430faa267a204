"""The versions of a date's plan: numbered, one in force, none ever overwritten."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import ConflictError, NotFoundError
from registry.plan.day_changes import moves_between, moves_words
from registry.records.day import Day, Route
from registry.records.day_versions import DayVersion
from registry.store import names
from registry.store.bodies import from_body
from registry.store.tables import DayRow, FirmRow, RouteRow


def version_in_force(session: Session, firm_id: int, on_date: date) -> int:
    """Return the number of the plan in force on a date, 0 = the date was not planned."""
    row = newest_row(session, firm_id, on_date)
    return 0 if row is None else row.number


def versions_of(session: Session, firm_id: int, on_date: date) -> list[DayVersion]:
    """Return all versions of a date's plan, the one in force first."""
    rows = session.scalars(
        select(DayRow)
        .where(DayRow.firm_id == firm_id, DayRow.on_date == on_date)
        .order_by(DayRow.number.desc())
    )
    return [_version(row) for row in rows]


def day_version(session: Session, firm_id: int, on_date: date, number: int) -> Day:
    """Return one version of a date's plan.

    Raises
    ------
    NotFoundError
        If there is no such version.
    """
    row = session.scalar(
        select(DayRow).where(
            DayRow.firm_id == firm_id, DayRow.on_date == on_date, DayRow.number == number
        )
    )
    if row is None:
        raise NotFoundError(f"There is no version {number} of the plan of {on_date.isoformat()}.")
    return day_of_row(session, row)


def require_in_force(session: Session, firm_id: int, on_date: date, number: int) -> None:
    """Refuse a change made from a plan that is not in force any more.

    Whoever calls this first in a transaction is alone with the firm's plans until its end.

    Raises
    ------
    ConflictError
        Saying who changed what meanwhile.
    """
    lock_plans(session, firm_id)
    newest = newest_row(session, firm_id, on_date)
    if newest is None or newest.number == number:
        return
    zone = ZoneInfo(names.zone_of_firm(session, firm_id))
    before = day_version(session, firm_id, on_date, number) if number else None
    moves = moves_between(before, day_of_row(session, newest))
    raise ConflictError(
        f"The plan of {on_date.isoformat()} was {newest.made_how} meanwhile by"
        f" {newest.made_by or 'somebody'} at {newest.made_at.astimezone(zone):%H:%M}, so nothing"
        f" of yours was kept. {moves_words(moves, zone)} Look at the day as it is now, then"
        " change it again."
    )


def lock_plans(session: Session, firm_id: int) -> None:
    """Let nobody else save a plan of the firm until the transaction ends."""
    session.scalar(select(FirmRow.id).where(FirmRow.id == firm_id).with_for_update())


def newest_row(session: Session, firm_id: int, on_date: date) -> DayRow | None:
    """Return the row of the plan in force."""
    return session.scalar(
        select(DayRow)
        .where(DayRow.firm_id == firm_id, DayRow.on_date == on_date)
        .order_by(DayRow.number.desc())
        .limit(1)
    )


def day_of_row(session: Session, row: DayRow) -> Day:
    """Return the plan of a row, its routes included."""
    bodies = session.scalars(
        select(RouteRow.body).where(RouteRow.day_id == row.id).order_by(RouteRow.id)
    )
    return replace(
        from_body(Day, row.body),
        number=row.number,
        routes=tuple(from_body(Route, body) for body in bodies),
    )


def _version(row: DayRow) -> DayVersion:
    return DayVersion(
        number=row.number,
        made_at=row.made_at,
        made_by=row.made_by,
        made_how=row.made_how,
        made_from=row.made_from,
        note=row.note,
    )
