"""A filter as the due rows that it looks at, and conditions on them that any question can take."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import InstrumentedAttribute, Session, aliased

from registry.records.due_rows import AgreementState, DueFilter, FilterChoices
from registry.records.gate_visit import SERIOUS
from registry.store.merges import is_record_of
from registry.store.replaced import is_replaced
from registry.store.reports import is_mended
from registry.store.scope import Scope
from registry.store.tables import (
    AgreementRow,
    FindingRow,
    FloodFactRow,
    JurisdictionRow,
    ObligationRow,
    SiteRow,
    SystemDueRow,
    SystemRow,
    VisitRow,
)

FIRST_SITES = 2_000
"""Sites at which the words of a scope are looked for first."""

type Condition = ColumnElement[bool]
type Due = type[SystemDueRow]


def due_of(which: DueFilter) -> Due:
    """Return the due rows that a filter looks at, one a system.

    Each system by its obligation that is late first; where the filter names a task, each system
    that owes the task, by that obligation, whatever else is due there.
    """
    if not which.task:
        return SystemDueRow
    owed, first = ObligationRow, SystemDueRow
    asked = (
        select(
            owed.system_id,
            owed.site_id,
            owed.firm_id,
            owed.jurisdiction_id,
            owed.id.label("obligation_id"),
            owed.task,
            owed.counted_from,
            owed.due_on,
            owed.grace_days,
            first.cell,
            first.town,
            first.kind,
        )
        .join(first, first.system_id == owed.system_id)
        .where(owed.task == which.task)
    )
    return aliased(SystemDueRow, asked.subquery(), adapt_on_names=True)


def filtered(due: Due, which: DueFilter, on_date: date) -> list[Condition]:
    """Return the conditions of a filter, but for its days overdue and whose systems they are.

    They name the filter's due rows alone: what they look up lies in questions of their own.
    """
    found = _there(SystemRow, SystemRow.id, due.system_id, _of_system(which))
    found += _there(FloodFactRow, FloodFactRow.site_id, due.site_id, _of_flood(which))
    if which.kinds:
        found.append(due.kind.in_(which.kinds))
    if which.town:
        found.append(due.town == which.town)
    if which.agreement is not None:
        found.append(_agreed(due, which.agreement, on_date))
    if which.serious_open:
        found.append(_serious_open(due, on_date))
    return found


def _of_system(which: DueFilter) -> dict[str, Any]:
    return {} if which.permit_status is None else {"permit_status": which.permit_status}


def _of_flood(which: DueFilter) -> dict[str, Any]:
    asked = {
        "in_hazard_area": which.in_hazard_area,
        "below_bfe": which.below_bfe,
        "zone": which.flood_zone or None,
    }
    return {name: value for name, value in asked.items() if value is not None}


def _there(
    row: type[Any],
    key: InstrumentedAttribute[int],
    of: InstrumentedAttribute[int],
    asked: dict[str, Any],
) -> list[Condition]:
    """Return that the row of a system or site holds what is asked, nothing where nothing is."""
    if not asked:
        return []
    other = aliased(row)
    holds = [getattr(other, key.key) == of]
    for name, value in asked.items():
        holds.append(getattr(other, name) == value)
    return [select(getattr(other, key.key)).where(*holds).exists()]


def _agreed(due: Due, state: AgreementState, on_date: date) -> Condition:
    row = aliased(AgreementRow)
    ever = select(row.id).where(row.site_id == due.site_id)
    now = ever.where(row.starts_on <= on_date, or_(row.ends_on.is_(None), row.ends_on >= on_date))
    ended = ever.where(row.ends_on < on_date)
    if state is AgreementState.IN_FORCE:
        return now.exists()
    return and_(~now.exists(), ended.exists() if state is AgreementState.LAPSED else ~ever.exists())


def _serious_open(due: Due, on_date: date) -> Condition:
    """Return that a serious finding of a standing visit is not mended; one of the site counts."""
    row, made = aliased(FindingRow), aliased(VisitRow)
    return (
        select(row.id)
        .join(made, made.id == row.visit_id)
        .where(
            is_record_of(row.site_id, due.site_id),
            or_(row.system_id.is_(None), row.system_id == due.system_id),
            row.seriousness == SERIOUS,
            made.on_date <= on_date,
            ~is_mended(row.id),
            ~is_replaced(made.id),
        )
        .exists()
    )


def choices(session: Session, scope: Scope) -> FilterChoices:
    """Return the towns, permit statuses and flood zones on file of some systems, in order."""
    return FilterChoices(
        towns=_sorted(_towns(session, scope)),
        permit_statuses=_sorted(
            _words(session, scope, SystemRow.permit_status, SystemRow.site_id == SiteRow.id)
        ),
        flood_zones=_sorted(
            _words(session, scope, FloodFactRow.zone, FloodFactRow.site_id == SiteRow.id)
        ),
    )


def _sorted(words: Iterable[str]) -> tuple[str, ...]:
    return tuple(sorted({one for one in words if one}))


def _towns(session: Session, scope: Scope) -> list[str]:
    due, mine = SystemDueRow, scope.jurisdiction_ids
    if scope.firm_id is not None:
        first = select(due.town).where(due.firm_id == scope.firm_id).distinct()
        return list(session.scalars(first))
    if mine is None:
        mine = tuple(session.scalars(select(JurisdictionRow.id)))
    return [
        word for one in mine for word in _each_word(session, due.town, due.jurisdiction_id == one)
    ]


def _words(
    session: Session, scope: Scope, column: InstrumentedAttribute[str], of_site: Condition
) -> list[str]:
    """Return a column's words within a scope; those of all sites without looking at a site.

    Most words are met at the first sites of a scope, and only the others are looked for at all.
    """
    every = _each_word(session, column)
    if _is_all(session, scope):
        return every
    mine = scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)
    asked = select(column).join(SiteRow, of_site).where(*mine)
    met = set(session.scalars(select(asked.limit(FIRST_SITES).subquery().c[0]).distinct()))
    missed = [one for one in every if one not in met]
    if missed:
        met |= set(session.scalars(asked.where(column.in_(missed)).distinct()))
    return list(met)


def _is_all(session: Session, scope: Scope) -> bool:
    if scope.firm_id is not None or scope.jurisdiction_ids is None:
        return scope.firm_id is None
    return set(session.scalars(select(JurisdictionRow.id))) <= set(scope.jurisdiction_ids)


def _each_word(
    session: Session, column: InstrumentedAttribute[str], *among: Condition
) -> list[str]:
    """Return the different words of an indexed column, by one step along the index for each."""
    least = select(func.min(column).label("word")).where(*among)
    word = least.cte("word", recursive=True)
    further = select(func.min(column)).where(*among, column > word.c.word).scalar_subquery()
    word = word.union_all(select(further).where(word.c.word.is_not(None)))
    return [one for one in session.scalars(select(word.c.word)) if one is not None]
