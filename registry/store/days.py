"""Planned days and held visits: a date's newest plan is in force, older ones are history."""

from dataclasses import replace
from datetime import date, datetime

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from registry.records.day import Day, Route
from registry.records.visits import Hold
from registry.store.bodies import from_body, to_body
from registry.store.tables import DayRow, HoldRow, RouteRow


def save_day(session: Session, day: Day, *, made_by: str, now: datetime) -> Day:
    """Keep a plan as the one in force on its date and return it with the moment it was made."""
    day = replace(day, made_at=now)
    row = DayRow(
        firm_id=day.firm_id,
        on_date=day.on_date,
        made_at=now,
        made_by=made_by,
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
    row = session.scalar(
        select(DayRow)
        .where(DayRow.firm_id == firm_id, DayRow.on_date == on_date)
        .order_by(DayRow.id.desc())
        .limit(1)
    )
    if row is None:
        return None
    bodies = session.scalars(
        select(RouteRow.body).where(RouteRow.day_id == row.id).order_by(RouteRow.id)
    )
    return replace(
        from_body(Day, row.body), routes=tuple(from_body(Route, body) for body in bodies)
    )


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
    )
    return [
        Hold(
            site_id=row.site_id,
            on_date=row.on_date,
            technician_id=row.technician_id,
            held_by=row.held_by,
            note=row.note,
        )
        for row in rows
    ]


def put_hold(session: Session, firm_id: int, hold: Hold, now: datetime) -> None:
    """Fix a visit on its date, in place of an earlier hold of the same site and date."""
    release_hold(session, firm_id, hold.site_id, hold.on_date)
    session.add(
        HoldRow(
            firm_id=firm_id,
            site_id=hold.site_id,
            on_date=hold.on_date,
            technician_id=hold.technician_id,
            held_by=hold.held_by,
            held_at=now,
            note=hold.note,
        )
    )
    session.flush()


def release_hold(session: Session, firm_id: int, site_id: int, on_date: date) -> None:
    """Let a held visit go; nothing happens if it was not held."""
    session.execute(
        delete(HoldRow).where(
            HoldRow.firm_id == firm_id, HoldRow.site_id == site_id, HoldRow.on_date == on_date
        )
    )
