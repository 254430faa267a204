"""What a map and an overdue list read: systems by their obligation that is late first."""

from collections.abc import Iterator
from datetime import date
from heapq import merge
from typing import Any

from sqlalchemy import ColumnElement, Date, Select, func, literal, select, text, tuple_
from sqlalchemy.orm import Session

from registry.due.lateness import days_overdue, is_overdue, share_passed
from registry.records.due_rows import DueFilter, DueMark
from registry.records.geodesy import geodesics_m, metres_per_degree
from registry.records.places import Box, LonLat
from registry.store.among import among
from registry.store.due_filter import Due, due_of, filtered
from registry.store.lateness_sql import overdue
from registry.store.scope import Scope
from registry.store.tables import FloodFactRow, SiteRow, SystemRow

ALL = DueFilter()
NEAREST_SPARE = 5
"""The database orders by degrees, which stretch to the east; so many times more are looked at."""
_FIRST_REACH_M = 1_000.0
_LAST_REACH_M = 1_000_000.0
_FAR_BEFORE = date(1, 1, 1)

type Rows = Select[*tuple[Any, ...]]
"""A question for any columns."""

type After = tuple[date, int]
"""Due date and system id of the last row of a page."""


def count_overdue_systems(
    session: Session, scope: Scope, on_date: date, which: DueFilter = ALL
) -> int:
    """Return how many systems have an obligation that is overdue on a date."""
    due = due_of(which)
    late = overdue(session, due.due_on, due.grace_days, on_date, which.late_days or 0)
    asked = select(func.count()).select_from(due)
    narrow = scope.narrowed(which.firm_id, which.jurisdiction_id)
    conditions = narrow.conditions(due.firm_id, due.jurisdiction_id)
    return session.scalar(asked.where(*conditions, late, *filtered(due, which, on_date))) or 0


def overdue_page(
    session: Session,
    scope: Scope,
    on_date: date,
    which: DueFilter = ALL,
    after: After | None = None,
    limit: int | None = 50,
) -> list[DueMark]:
    """Return overdue systems, longest overdue first, from after a row on."""
    due = due_of(which)
    late = overdue(session, due.due_on, due.grace_days, on_date, which.late_days or 0)
    found = []
    for one in scope.narrowed(which.firm_id, which.jurisdiction_id).split():
        asked = (
            _marks(due)
            .where(
                *one.conditions(due.firm_id, due.jurisdiction_id),
                late,
                *filtered(due, which, on_date),
            )
            .order_by(due.due_on, due.system_id)
            .limit(limit)
        )
        if after is not None:
            asked = asked.where(
                tuple_(due.due_on, due.system_id)
                > tuple_(literal(after[0], Date), literal(after[1]))
            )
        found.append(list(_read(session, asked, on_date)))
    rows = merge(*found, key=lambda one: (one.due_on or _FAR_BEFORE, one.system_id))
    return list(rows)[:limit]


def marks_in_box(
    session: Session,
    scope: Scope,
    box: Box,
    on_date: date,
    which: DueFilter = ALL,
    limit: int | None = None,
) -> list[DueMark]:
    """Return the systems whose site lies in a box, edges included."""
    due = due_of(which)
    asked = in_box(session, _marks(due), box).where(
        *site_scope(session, scope, which),
        *late_filter(session, due, which, on_date),
        *filtered(due, which, on_date),
    )
    return list(_read(session, asked.limit(limit), on_date))


def marks_of_site(session: Session, scope: Scope, site_id: int, on_date: date) -> list[DueMark]:
    """Return the marks of the systems of one site of a scope, by system."""
    due = due_of(ALL)
    asked = (
        _marks(due)
        .where(SiteRow.id == site_id)
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        .order_by(due.system_id)
    )
    return list(_read(session, asked, on_date))


def nearest(
    session: Session,
    scope: Scope,
    place: LonLat,
    on_date: date,
    which: DueFilter = ALL,
    limit: int = 20,
) -> list[DueMark]:
    """Return the systems nearest to a place, nearest first, by distance on the ellipsoid."""
    if session.get_bind().dialect.name == "postgresql":
        marks = _nearest_by_index(session, scope, place, on_date, which, limit)
    else:
        marks = _nearest_by_box(session, scope, place, on_date, which, limit)
    return [mark for _, mark in _by_distance(marks, place)[:limit]]


def _marks(due: Due) -> Rows:
    """Return the question for marks; rows without a flood fact are unknown."""
    asked: Rows = (
        select(
            due.system_id,
            due.site_id,
            SiteRow.key,
            SiteRow.lon,
            SiteRow.lat,
            SystemRow.kind,
            due.task,
            due.counted_from,
            due.due_on,
            due.grace_days,
            due.jurisdiction_id,
            FloodFactRow.in_hazard_area,
            FloodFactRow.below_bfe,
        )
        .select_from(SiteRow)
        .join(due, due.site_id == SiteRow.id)
        .join(SystemRow, SystemRow.id == due.system_id)
        .join(FloodFactRow, FloodFactRow.site_id == SiteRow.id, isouter=True)
    )
    return asked


def _read(session: Session, asked: Rows, on_date: date) -> Iterator[DueMark]:
    for row in session.execute(asked):
        due_on: date | None = row[8]
        yield DueMark(
            system_id=row[0],
            site_id=row[1],
            site=row[2],
            lon_lat=None if row[3] is None or row[4] is None else LonLat(row[3], row[4]),
            kind=row[5],
            task=row[6],
            due_on=due_on,
            days_overdue=None if due_on is None else days_overdue(due_on, on_date),
            overdue=is_overdue(due_on, on_date, row[9]),
            share_passed=share_passed(row[7], due_on, on_date),
            jurisdiction_id=row[10],
            in_hazard_area=row[11],
            below_bfe=row[12],
        )


def late_filter(
    session: Session, due: Due, which: DueFilter, on_date: date
) -> list[ColumnElement[bool]]:
    """Return the filter's condition on lateness, none where it has none."""
    if which.late_days is None:
        return []
    return [overdue(session, due.due_on, due.grace_days, on_date, which.late_days)]


def site_scope(session: Session, scope: Scope, which: DueFilter) -> list[ColumnElement[bool]]:
    """Return the scope's conditions in a form that leaves SQLite the index on the place."""
    scope = scope.narrowed(which.firm_id, which.jurisdiction_id)
    if session.get_bind().dialect.name == "postgresql":
        return scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)
    return scope.conditions(SiteRow.firm_id + 0, SiteRow.jurisdiction_id + 0)


def in_box(session: Session, asked: Rows, box: Box) -> Rows:
    """Narrow a question about sites to a box, by the index on the place."""
    if session.get_bind().dialect.name == "postgresql":
        return asked.where(
            text("site.geom && ST_MakeEnvelope(:west, :south, :east, :north, 4326)").bindparams(
                west=box.west, south=box.south, east=box.east, north=box.north
            )
        )
    return asked.where(
        SiteRow.lon.between(box.west, box.east), SiteRow.lat.between(box.south, box.north)
    )


def _nearest_by_index(
    session: Session, scope: Scope, place: LonLat, on_date: date, which: DueFilter, limit: int
) -> list[DueMark]:
    """Ask PostGIS for more than is wanted by planar distance, which its index gives in order.

    The place is a parameter: read from a common table expression, the index was not used.
    """
    due = due_of(which)
    asked = (
        select(due.system_id)
        .select_from(SiteRow)
        .join(due, due.site_id == SiteRow.id)
        .where(
            text("site.geom IS NOT NULL"),
            *site_scope(session, scope, which),
            *late_filter(session, due, which, on_date),
        )
        .order_by(
            text("site.geom <-> ST_SetSRID(ST_Point(:lon, :lat), 4326)").bindparams(
                lon=place.lon, lat=place.lat
            )
        )
        .limit(NEAREST_SPARE * limit)
    )
    ids = list(session.scalars(asked.where(*filtered(due, which, on_date))))
    marks = _marks(due).where(among(session, due.system_id, ids))
    return list(_read(session, marks, on_date))


def _nearest_by_box(
    session: Session, scope: Scope, place: LonLat, on_date: date, which: DueFilter, limit: int
) -> list[DueMark]:
    """Look in a growing box until enough lie within its half side."""
    reach_m = _FIRST_REACH_M
    while True:
        per_lon, per_lat = (float(one) for one in metres_per_degree(place.lat))
        east, north = reach_m / max(per_lon, 1.0), reach_m / per_lat
        box = Box(place.lon - east, place.lat - north, place.lon + east, place.lat + north)
        marks = marks_in_box(session, scope, box, on_date, which)
        near = sum(far <= reach_m * 0.99 for far, _ in _by_distance(marks, place))
        if near >= limit or reach_m >= _LAST_REACH_M:
            return marks
        reach_m *= 2


def _by_distance(marks: list[DueMark], place: LonLat) -> list[tuple[float, DueMark]]:
    placed = [(mark, mark.lon_lat) for mark in marks if mark.lon_lat is not None]
    if not placed:
        return []
    lon, lat = zip(*(where for _, where in placed), strict=True)
    far = geodesics_m([place.lon] * len(placed), [place.lat] * len(placed), lon, lat)
    found = zip(far.tolist(), (mark for mark, _ in placed), strict=True)
    return sorted(found, key=lambda pair: (pair[0], pair[1].system_id))
