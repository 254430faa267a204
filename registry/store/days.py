"""Planned days and held visits."""

from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import delete, select
from sqlalchemy.dialects.postgresql import insert as pg_insert
from sqlalchemy.dialects.sqlite import insert as sqlite_insert
from sqlalchemy.orm import Session

from registry.records.day import Day
from registry.records.day_versions import MadeHow
from registry.records.visits import Hold
from registry.store.bodies import to_body
from registry.store.day_versions import (
    day_of_row,
    lock_plans,
    newest_row,
    require_in_force,
    version_in_force,
)
from registry.store.tables import DayRow, HoldRow, RouteRow


def save_day(
    session: Session,
    day: Day,
    *,
    made_by: str,
    now: datetime,
    made_from: int | None = None,
    made_how: str = MadeHow.ORDERED,
    note: str = "",
) -> Day:
    """Keep a plan as the one in force on its date; return it with its number and moment.

    ``made_from`` is the version that the plan was made from, 0 = none; None takes the place of
    whatever is in force. The old plan stays in the history.

    Raises
    ------
    ConflictError
        If another version is in force meanwhile; nothing is kept then.
    """
    if made_from is None:
        lock_plans(session, day.firm_id)
        made_from = version_in_force(session, day.firm_id, day.on_date)
    else:
        require_in_force(session, day.firm_id, day.on_date, made_from)
    day = replace(day, made_at=now, number=made_from + 1)
    row = DayRow(
        firm_id=day.firm_id,
        on_date=day.on_date,
        number=day.number,
        made_at=now,
        made_by=made_by,
        made_how=made_how,
        made_from=made_from,
        note=note,
        cost=day.cost,
        bound=day.bound,
        body=to_body(replace(day, routes=())),
    )
    session.add(row)
    session.flush()
    for route in day.routes:
        session.add(
            RouteRow(
                day_id=row.id,
                technician_id=route.technician_id,
                leaves=route.leaves,
                returns=route.returns,
                drive_s=route.drive_s,
                drive_m=route.drive_m,
                wait_s=route.wait_s,
                body=to_body(route),
            )
        )
    session.flush()
    return day


def day_of(session: Session, firm_id: int, on_date: date) -> Day | None:
    """Return the plan in force on a date, None if the date was not planned."""
    row = newest_row(session, firm_id, on_date)
    return None if row is None else day_of_row(session, row)


def planned_dates(session: Session, firm_id: int, since: date, until: date) -> list[date]:
    """Return the dates that have a plan, in order."""
    return list(
        session.scalars(
            select(DayRow.on_date)
            .where(DayRow.firm_id == firm_id, DayRow.on_date.between(since, until))
            .distinct()
            .order_by(DayRow.on_date)
        )
    )


def holds_on(session: Session, firm_id: int, on_date: date) -> list[Hold]:
    """Return the visits that the dispatcher fixed on a date."""
    rows = session.scalars(
        select(HoldRow)
        .where(HoldRow.firm_id == firm_id, HoldRow.on_date == on_date)
        .order_by(HoldRow.id)
        .execution_options(populate_existing=True)
    )
    return [_hold(row) for row in rows]


def holds_after(session: Session, firm_id: int, on_date: date) -> list[Hold]:
    """Return the visits that the dispatcher fixed on later dates, the next ones first."""
    rows = session.scalars(
        select(HoldRow)
        .where(HoldRow.firm_id == firm_id, HoldRow.on_date > on_date)
        .order_by(HoldRow.on_date, HoldRow.id)
        .execution_options(populate_existing=True)
    )
    return [_hold(row) for row in rows]


def _hold(row: HoldRow) -> Hold:
    return Hold(
        site_id=row.site_id,
        on_date=row.on_date,
        technician_id=row.technician_id,
        held_by=row.held_by,
        note=row.note,
        from_min=row.from_min,
        to_min=row.to_min,
    )


def put_hold(session: Session, firm_id: int, hold: Hold, now: datetime) -> None:
    """Fix a visit on its date, in place of an earlier hold of the same site and date.

    One statement: of two people who hold the same visit at once the later one counts.
    """
    values = {
        "firm_id": firm_id,
        "technician_id": hold.technician_id,
        "held_by": hold.held_by,
        "held_at": now,
        "note": hold.note,
        "from_min": hold.from_min,
        "to_min": hold.to_min,
    }
    insert = pg_insert if session.get_bind().dialect.name == "postgresql" else sqlite_insert
    session.execute(
        insert(HoldRow)
        .values(values | {"site_id": hold.site_id, "on_date": hold.on_date})
        .on_conflict_do_update(index_elements=["site_id", "on_date"], set_=values)
    )


def release_hold(session: Session, firm_id: int, site_id: int, on_date: date) -> None:
    """Let a held visit go; nothing happens if it was not held."""
    session.execute(
        delete(HoldRow).where(
            HoldRow.firm_id == firm_id, HoldRow.site_id == site_id, HoldRow.on_date == on_date
        )
    )
