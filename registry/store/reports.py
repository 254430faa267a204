"""Reports that were sent and findings that were mended: added to, never changed."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Any

from sqlalchemy import ColumnElement, and_, func, or_, select
from sqlalchemy.orm import Session, aliased

from registry.records.gate_visit import Ending, Finding
from registry.records.places import Site
from registry.records.reports import FindingMended, ReportSent, ReportTo, SentBy
from registry.store.among import among
from registry.store.gate_visits import FINDING
from registry.store.merges import merged_sites, records_of
from registry.store.replaced import is_replaced
from registry.store.scope import Scope
from registry.store.sites import sites
from registry.store.tables import (
    FindingMendedRow,
    FindingRow,
    GateVisitRow,
    ReportSentRow,
    SiteRow,
    VisitRow,
    VisitTaskRow,
)


@dataclass(frozen=True, slots=True)
class VisitMade:
    """A visit in force with its site; ``is_ours`` = recorded at the gate, not read from a file."""

    visit_id: str
    site_id: int
    site: str
    address: str
    town: str
    jurisdiction_id: int
    on_date: date
    is_ours: bool
    supersedes: str


def add_sent(session: Session, sent: ReportSent) -> None:
    """Note that a report was sent, or take such a note back."""
    session.add(
        ReportSentRow(
            visit_id=sent.visit_id,
            to=sent.to.value,
            sent_on=sent.sent_on,
            how=sent.how.value,
            note=sent.note,
            noted_by=sent.noted_by,
            noted_at=sent.noted_at,
            takes_back=sent.takes_back,
        )
    )
    session.flush()


def sent_in_force(session: Session, visit_ids: Iterable[str]) -> list[ReportSent]:
    """Return the notes on reports of some visits that were not taken back, in order."""
    row = ReportSentRow
    asked = select(row).where(among(session, row.visit_id, visit_ids), _stands(row))
    return [_sent(one) for one in session.scalars(asked.order_by(row.id))]


def sent_ever(session: Session, visit_id: str) -> list[ReportSent]:
    """Return all notes on the reports of a visit, those that take one back included, in order."""
    row = ReportSentRow
    asked = select(row).where(row.visit_id == visit_id).order_by(row.id)
    return [_sent(one) for one in session.scalars(asked)]


def _sent(row: ReportSentRow) -> ReportSent:
    return ReportSent(
        id=row.id,
        visit_id=row.visit_id,
        to=ReportTo(row.to),
        sent_on=row.sent_on,
        how=SentBy(row.how),
        note=row.note,
        noted_by=row.noted_by,
        noted_at=row.noted_at,
        takes_back=row.takes_back,
    )


def add_mended(session: Session, mended: FindingMended) -> None:
    """Note that a finding was mended, or take such a note back."""
    session.add(
        FindingMendedRow(
            finding_id=mended.finding_id,
            mended_on=mended.mended_on,
            note=mended.note,
            noted_by=mended.noted_by,
            noted_at=mended.noted_at,
            takes_back=mended.takes_back,
        )
    )
    session.flush()


def mended_in_force(session: Session, finding_ids: Iterable[str]) -> dict[str, FindingMended]:
    """Return by finding the note that it was mended, where it was not taken back."""
    row = FindingMendedRow
    asked = select(row).where(among(session, row.finding_id, finding_ids), _stands(row))
    return {
        one.finding_id: FindingMended(
            id=one.id,
            finding_id=one.finding_id,
            mended_on=one.mended_on,
            note=one.note,
            noted_by=one.noted_by,
            noted_at=one.noted_at,
        )
        for one in session.scalars(asked.order_by(row.id))
    }


def finding(session: Session, finding_id: str) -> Finding | None:
    """Return one finding, None if there is none with this id."""
    row = session.get(FindingRow, finding_id)
    return None if row is None else Finding(**{name: getattr(row, name) for name in FINDING})


def _stands(row: type[ReportSentRow] | type[FindingMendedRow]) -> ColumnElement[bool]:
    """Return the condition that a note takes none back and was not taken back itself."""
    later = aliased(row)
    taken_back = select(later.id).where(later.takes_back == row.id).exists()
    return and_(row.takes_back.is_(None), ~taken_back)


def is_mended(finding_id: Any) -> ColumnElement[bool]:  # noqa: ANN401 - a column of finding ids
    """Return the condition that a finding was mended, by a note that was not taken back."""
    row = FindingMendedRow
    return select(row.id).where(row.finding_id == finding_id, _stands(row)).exists()


def visits_owing(
    session: Session, scope: Scope, until: date, to: Iterable[ReportTo]
) -> list[VisitMade]:
    """Return the visits until a date whose report to one of ``to`` is not sent, the oldest first.

    Only visits that were recorded at the gate: what became of the reports of visits that came in a
    file is not known. Where nobody got in and nothing was found there is nothing to report.
    """
    row = ReportSentRow
    owing = [
        ~select(row.id).where(row.visit_id == VisitRow.id, row.to == one, _stands(row)).exists()
        for one in to
    ]
    told = or_(
        GateVisitRow.ending != Ending.NOT_REACHED.value,
        select(FindingRow.id).where(FindingRow.visit_id == VisitRow.id).exists(),
    )
    ours = GateVisitRow.visit_id.is_not(None)
    return _made(session, [*_in(scope), VisitRow.on_date <= until, ours, told, or_(*owing)])


def visits_made(session: Session, visit_ids: Iterable[str]) -> list[VisitMade]:
    """Return those of some visits that were not corrected."""
    return _made(session, [among(session, VisitRow.id, visit_ids)])


def _in(scope: Scope) -> list[ColumnElement[bool]]:
    return scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id)


def _made(session: Session, conditions: list[ColumnElement[bool]]) -> list[VisitMade]:
    rows = session.execute(
        select(
            VisitRow.id,
            VisitRow.site_id,
            SiteRow.key,
            SiteRow.address,
            SiteRow.town,
            SiteRow.jurisdiction_id,
            VisitRow.on_date,
            GateVisitRow.visit_id.is_not(None),
            VisitRow.supersedes,
        )
        .outerjoin(GateVisitRow, GateVisitRow.visit_id == VisitRow.id)
        .join(SiteRow, SiteRow.id == VisitRow.site_id)
        .where(~is_replaced(VisitRow.id), *conditions)
        .order_by(VisitRow.on_date, SiteRow.key, VisitRow.id)
    )
    found = [VisitMade(*row[:-1], supersedes=row[-1] or "") for row in rows]
    to = merged_sites(session)
    holding = {to[one.site_id] for one in found if one.site_id in to}
    kept = {one.id: one for one in sites(session, holding)}
    return [_at_its_site(one, kept.get(to.get(one.site_id, 0))) for one in found]


def _at_its_site(one: VisitMade, kept: Site | None) -> VisitMade:
    """Return a visit as one of the site into which its record was merged, if it was."""
    if kept is None:
        return one
    return replace(one, site_id=kept.id, site=kept.key, address=kept.address, town=kept.town)


def tasks_done(session: Session, visit_ids: Iterable[str]) -> dict[str, set[str]]:
    """Return by visit the codes of the tasks that were done."""
    found: dict[str, set[str]] = {}
    row = VisitTaskRow
    for visit_id, task in session.execute(
        select(row.visit_id, row.task).where(among(session, row.visit_id, visit_ids))
    ):
        found.setdefault(visit_id, set()).add(task)
    return found


def first_report_by(session: Session, visit_ids: Iterable[str]) -> dict[str, datetime]:
    """Return by visit the first moment at which the authority must know of a finding."""
    row = FindingRow
    rows = session.execute(
        select(row.visit_id, func.min(row.report_by))
        .where(among(session, row.visit_id, visit_ids), row.report_by.is_not(None))
        .group_by(row.visit_id)
    )
    return {visit_id: at for visit_id, at in rows if at is not None}


def open_findings(
    session: Session, scope: Scope, until: date, site_ids: Iterable[int] | None = None
) -> list[tuple[Finding, VisitMade]]:
    """Return the findings with a follow-up that are not mended, with their visits."""
    asked = (
        select(FindingRow)
        .join(VisitRow, VisitRow.id == FindingRow.visit_id)
        .join(SiteRow, SiteRow.id == FindingRow.site_id)
        .where(
            *_in(scope),
            VisitRow.on_date <= until,
            FindingRow.follow_up_on.is_not(None),
            ~is_mended(FindingRow.id),
            ~is_replaced(VisitRow.id),
        )
    )
    to = merged_sites(session)
    if site_ids is not None:
        asked = asked.where(among(session, FindingRow.site_id, records_of(session, site_ids)))
    found = [
        Finding(**{name: getattr(one, name) for name in FINDING}) for one in session.scalars(asked)
    ]
    found = [replace(one, site_id=to.get(one.site_id, one.site_id)) for one in found]
    made = {one.visit_id: one for one in visits_made(session, {one.visit_id for one in found})}
    return [(one, made[one.visit_id]) for one in found if one.visit_id in made]
