"""What is on file of one year: visits, tasks done, findings, volumes, letters; counted by SQL."""

from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, Date, and_, case, distinct, func, or_, select
from sqlalchemy.orm import Session

from registry.records.gate_visit import SERIOUS
from registry.store.replaced import is_replaced
from registry.store.reports import is_mended
from registry.store.scope import Scope
from registry.store.tables import (
    FindingRow,
    LetterRow,
    ObligationRow,
    ReadingRow,
    SiteRow,
    SystemRow,
    VisitRow,
    VisitTaskRow,
)

PUMPED, VOLUME = "pump-out", "pumped volume"
"""The task that empties a tank and the reading of what was taken away, in gallons."""

type Done = tuple[date, date | None, date | None, date | None, int]
"""Done on, done before that on, today's interval from and to, days of grace."""


def inventory_by_kind(session: Session, scope: Scope, until: date) -> dict[str, tuple[int, int]]:
    """Return by system type how many are on file, and of how many no installation date is.

    Those installed after ``until`` are left out.
    """
    unknown = func.sum(case((SystemRow.installed_on.is_(None), 1), else_=0))
    asked = (
        select(SystemRow.kind, func.count(), unknown)
        .join(SiteRow, SiteRow.id == SystemRow.site_id)
        .where(
            *_of(scope),
            SystemRow.merged_into_id.is_(None),
            or_(SystemRow.installed_on.is_(None), SystemRow.installed_on <= until),
        )
        .group_by(SystemRow.kind)
        .order_by(SystemRow.kind)
    )
    return {row[0]: (row[1], row[2]) for row in session.execute(asked)}


def visits_made(session: Session, scope: Scope, first: date, last: date) -> tuple[int, int]:
    """Return how many visits stand, and at how many systems a task was done."""
    visits = _standing(select(func.count(VisitRow.id)), scope, first, last)
    systems = select(func.count(distinct(VisitTaskRow.system_id))).join(
        VisitRow, VisitRow.id == VisitTaskRow.visit_id
    )
    done = _standing(systems, scope, first, last)
    return session.scalar(visits) or 0, session.scalar(done) or 0


def tasks_done(session: Session, scope: Scope, first: date, last: date) -> list[Done]:
    """Return each task done in the time, with when it was done before and today's interval."""
    before = func.lag(VisitRow.on_date, type_=Date()).over(
        partition_by=(VisitTaskRow.system_id, VisitTaskRow.task), order_by=VisitRow.on_date
    )
    asked: Any = select(
        VisitTaskRow.system_id,
        VisitTaskRow.task,
        VisitRow.on_date.label("done_on"),
        before.label("before"),
    ).join(VisitRow, VisitRow.id == VisitTaskRow.visit_id)
    every = _standing(asked, scope, None, last).subquery()
    owed = ObligationRow
    same = and_(owed.system_id == every.c.system_id, owed.task == every.c.task)
    firm = and_(same, owed.estimated.is_(False))
    found = (
        select(every.c.done_on, every.c.before, owed.counted_from, owed.due_on, owed.grace_days)
        .select_from(every)
        .join(owed, firm, isouter=True)
        .where(every.c.done_on >= first)
    )
    return [(row[0], row[1], row[2], row[3], row[4] or 0) for row in session.execute(found)]


def findings_made(
    session: Session, scope: Scope, first: date, last: date
) -> list[tuple[str, int, int]]:
    """Return by seriousness how many findings were made, and how many of them are mended."""
    mended = func.sum(case((is_mended(FindingRow.id), 1), else_=0))
    asked: Any = select(FindingRow.seriousness, func.count(), mended).join(
        VisitRow, VisitRow.id == FindingRow.visit_id
    )
    asked = _standing(asked, scope, first, last).group_by(FindingRow.seriousness)
    rows = session.execute(asked.order_by(FindingRow.seriousness))
    return [(row[0], row[1], row[2]) for row in sorted(rows, key=lambda one: one[0] != SERIOUS)]


def pumped(session: Session, scope: Scope, first: date, last: date) -> tuple[int, int, float]:
    """Return how many pump-outs stand, of how many a volume is on file, and all of it in gal."""
    newer = ReadingRow.__table__.alias("newer")
    per_visit = (
        select(ReadingRow.visit_id, func.sum(ReadingRow.value).label("gal"))
        .where(
            ReadingRow.kind == VOLUME,
            ReadingRow.value.is_not(None),
            ~select(newer.c.id).where(newer.c.supersedes == ReadingRow.id).exists(),
        )
        .group_by(ReadingRow.visit_id)
        .subquery()
    )
    out = (
        select(VisitTaskRow.visit_id)
        .where(VisitTaskRow.visit_id == VisitRow.id, VisitTaskRow.task == PUMPED)
        .exists()
    )
    asked: Any = (
        select(func.count(VisitRow.id), func.count(per_visit.c.gal), func.sum(per_visit.c.gal))
        .select_from(VisitRow)
        .join(per_visit, per_visit.c.visit_id == VisitRow.id, isouter=True)
    )
    row = session.execute(_standing(asked, scope, first, last).where(out)).one()
    return row[0], row[1], float(row[2] or 0.0)


def letters_written(session: Session, scope: Scope, first: date, last: date) -> int:
    """Return how many letters were written to owners."""
    asked = (
        select(func.count(LetterRow.id))
        .join(SiteRow, SiteRow.id == LetterRow.site_id)
        .where(*_of(scope), LetterRow.written_on.between(first, last))
    )
    return session.scalar(asked) or 0


def _standing(asked: Any, scope: Scope, first: date | None, last: date) -> Any:  # noqa: ANN401 - a question for any columns
    """Narrow a question about visits to those that stand, from one day to another."""
    begins = [] if first is None else [VisitRow.on_date >= first]
    return asked.join(SiteRow, SiteRow.id == VisitRow.site_id).where(
        *_of(scope), *begins, VisitRow.on_date <= last, ~is_replaced(VisitRow.id)
    )


def _of(scope: Scope) -> list[ColumnElement[bool]]:
    return scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)
