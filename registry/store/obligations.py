"""The due list: pages of obligations by due date, counts, and what a site owes."""

from collections.abc import Collection, Iterable, Iterator
from dataclasses import fields
from datetime import date, timedelta
from heapq import merge

from sqlalchemy import ColumnElement, Date, func, literal, select, tuple_
from sqlalchemy.orm import Session

from registry.due.lateness import days_overdue
from registry.due.visit_worth import Lateness
from registry.records.due_rows import DueRow
from registry.records.places import LonLat
from registry.records.work import Obligation
from registry.store.among import among
from registry.store.lateness_sql import in_horizon, overdue
from registry.store.scope import Scope
from registry.store.tables import ObligationRow, SiteRow, SystemRow

LONGEST_HORIZON_DAYS = 366
"""No rule looks further ahead, see ``due.rules_file``; it keeps the index usable."""

FIELDS = tuple(one.name for one in fields(Obligation))
"""The record's fields, which are the row's columns."""

type After = tuple[date, int]
"""Due date and id of the last row of a page: the next page begins after it."""


def obligations_of_sites(session: Session, site_ids: Iterable[int]) -> list[Obligation]:
    """Return what some sites owe, earliest first, those without a date last."""
    rows = session.execute(
        select(*(getattr(ObligationRow, name) for name in FIELDS))
        .where(among(session, ObligationRow.site_id, site_ids))
        .order_by(ObligationRow.due_on.is_(None), ObligationRow.due_on, ObligationRow.id)
    )
    return [Obligation(**dict(zip(FIELDS, row, strict=True))) for row in rows]


def due_page(
    session: Session,
    scope: Scope,
    on_date: date,
    within_days: int,
    after: After | None = None,
    limit: int | None = 50,
) -> list[DueRow]:
    """Return obligations due by some days after a date, oldest first, from after a row on."""
    found = [list(_rows(session, one, on_date, within_days, after, limit)) for one in scope.split()]
    rows = list(merge(*found, key=lambda row: (row.due_on, row.obligation_id)))
    return rows[:limit]


def count_due(session: Session, scope: Scope, on_date: date, within_days: int) -> int:
    """Return how many obligations are due by some days after a date."""
    last = on_date + timedelta(days=within_days)
    return _count(session, scope, ObligationRow.due_on <= last)


def count_overdue(session: Session, scope: Scope, on_date: date) -> int:
    """Return how many obligations are overdue on a date, days of grace counted."""
    late = overdue(session, ObligationRow.due_on, ObligationRow.grace_days, on_date)
    return _count(session, scope, late)


def due_for_visits(
    session: Session,
    firm_id: int,
    on_date: date,
    horizon_days: int | None = None,
    site_ids: Collection[int] | None = None,
) -> list[Obligation]:
    """Return a firm's obligations that fall into their horizon on a date, by site.

    ``horizon_days`` holds for all; None = each rule's own. ``site_ids`` None = all sites.
    """
    if site_ids is not None:  # asked for both, SQLite reads all that is due
        found = obligations_of_sites(session, site_ids)
        found = [
            one for one in found if one.firm_id == firm_id and _is_near(one, on_date, horizon_days)
        ]
    else:
        rows = session.execute(
            select(*(getattr(ObligationRow, name) for name in FIELDS)).where(
                *_near(session, firm_id, on_date, horizon_days)
            )
        )
        found = [Obligation(**dict(zip(FIELDS, row, strict=True))) for row in rows]
    return sorted(found, key=lambda one: (one.site_id, one.due_on or on_date, one.id))


def due_by(session: Session, firm_id: int, last: date) -> list[Obligation]:
    """Return a firm's obligations that are due by a date, by site."""
    rows = session.execute(
        select(*(getattr(ObligationRow, name) for name in FIELDS))
        .where(ObligationRow.firm_id == firm_id, ObligationRow.due_on <= last)
        .order_by(ObligationRow.site_id, ObligationRow.due_on, ObligationRow.id)
    )
    return [Obligation(**dict(zip(FIELDS, row, strict=True))) for row in rows]


def lateness_of_sites(
    session: Session, firm_id: int, on_date: date, horizon_days: int | None = None
) -> list[Lateness]:
    """Return what decides how much a visit is worth, for all that ``due_for_visits`` returns."""
    rows = session.execute(
        select(
            ObligationRow.site_id,
            ObligationRow.task,
            ObligationRow.due_on,
            ObligationRow.estimated,
            ObligationRow.grace_days,
        ).where(*_near(session, firm_id, on_date, horizon_days))
    )
    return [
        (site_id, task, (on_date - due_on).days, estimated, grace_days)
        for site_id, task, due_on, estimated, grace_days in rows
        if due_on is not None
    ]


def _is_near(one: Obligation, on_date: date, horizon_days: int | None) -> bool:
    ahead = one.horizon_days if horizon_days is None else horizon_days
    return one.due_on is not None and (one.due_on - on_date).days <= ahead


def _near(
    session: Session, firm_id: int, on_date: date, horizon_days: int | None
) -> list[ColumnElement[bool]]:
    """Return the conditions that an obligation is a firm's and falls into its horizon."""
    due_on, own = ObligationRow.due_on, ObligationRow.horizon_days
    if horizon_days is None:
        near = in_horizon(session, due_on, own, on_date, LONGEST_HORIZON_DAYS)
    else:
        near = due_on <= on_date + timedelta(days=horizon_days)
    return [ObligationRow.firm_id == firm_id, near]


def _rows(
    session: Session,
    scope: Scope,
    on_date: date,
    within_days: int,
    after: After | None,
    limit: int | None,
) -> Iterator[DueRow]:
    one = ObligationRow
    asked = (
        select(
            one.id,
            one.site_id,
            SiteRow.key,
            one.system_id,
            SystemRow.key,
            SystemRow.kind,
            one.task,
            one.last_done,
            one.due_on,
            one.grace_days,
            one.rule_code,
            one.source,
            one.estimated,
            SiteRow.lon,
            SiteRow.lat,
        )
        .join(SiteRow, SiteRow.id == one.site_id)
        .join(SystemRow, SystemRow.id == one.system_id)
        .where(
            *scope.conditions(one.firm_id, one.jurisdiction_id),
            one.due_on <= on_date + timedelta(days=within_days),
        )
        .order_by(one.due_on, one.id)
        .limit(limit)
    )
    if after is not None:
        asked = asked.where(
            tuple_(one.due_on, one.id) > tuple_(literal(after[0], Date), literal(after[1]))
        )
    for row in session.execute(asked):
        due_on = row[8]
        if due_on is None:
            continue
        yield DueRow(
            obligation_id=row[0],
            site_id=row[1],
            site=row[2],
            system_id=row[3],
            system=row[4] or row[5],
            kind=row[5],
            task=row[6],
            last_done=row[7],
            due_on=due_on,
            days_overdue=days_overdue(due_on, on_date),
            grace_days=row[9],
            rule=row[10],
            source=row[11],
            estimated=row[12],
            lon_lat=None if row[13] is None or row[14] is None else LonLat(row[13], row[14]),
        )


def _count(session: Session, scope: Scope, which: ColumnElement[bool]) -> int:
    conditions = scope.conditions(ObligationRow.firm_id, ObligationRow.jurisdiction_id)
    asked = select(func.count()).select_from(ObligationRow).where(*conditions, which)
    return session.scalar(asked) or 0
