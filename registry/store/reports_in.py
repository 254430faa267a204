"""Reports that came in from other firms: added to, never changed; and who is licensed."""

from collections.abc import Iterable
from datetime import date, datetime

from sqlalchemy import ColumnElement, Select, func, insert, or_, select
from sqlalchemy.orm import Session

from registry.records.reports_in import CameBy, Licensed, ReportIn
from registry.store.among import among
from registry.store.history import Author
from registry.store.put import put_row
from registry.store.replaced import is_replaced
from registry.store.scope import Scope
from registry.store.tables import (
    FirmRow,
    GateVisitRow,
    JurisdictionRow,
    LicenceRow,
    LicensedRow,
    ReportInBackRow,
    ReportInRow,
    SiteRow,
    SystemRow,
    TechnicianRow,
    VisitRow,
    VisitSettledRow,
)

_TOLD = ("firm", "person", "licence", "received_on", "source", "taken_in_by", "taken_in_at")


def add_reports_in(session: Session, reports: Iterable[ReportIn]) -> None:
    """Add reports whose visits are stored already."""
    rows = [
        {"visit_id": one.visit_id, "site_id": one.site_id, "came_by": one.came_by.value}
        | {name: getattr(one, name) for name in _TOLD}
        for one in reports
    ]
    if rows:
        session.execute(insert(ReportInRow), rows)


def take_back(session: Session, visit_ids: Iterable[str], by: str, why: str, now: datetime) -> None:
    """Note that some reports were taken back; a visit that settles itself stands no more."""
    ids = list(visit_ids)
    if ids:
        session.execute(
            insert(ReportInBackRow),
            [
                {"visit_id": one, "taken_back_at": now, "taken_back_by": by, "why": why}
                for one in ids
            ],
        )
        session.execute(insert(VisitSettledRow), [{"over_id": one, "visit_id": one} for one in ids])


def reports_in(
    session: Session,
    scope: Scope,
    *,
    since: datetime | None = None,
    limit: int | None = None,
    run: tuple[datetime, str] | None = None,
) -> list[ReportIn]:
    """Return reports that came in to the sites of a scope, the last first; taken back ones too.

    ``run`` are moment and file of one import.
    """
    asked = _asked().where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
    if since is not None:
        asked = asked.where(ReportInRow.taken_in_at >= since)
    if run is not None:
        asked = asked.where(ReportInRow.taken_in_at == run[0], ReportInRow.source == run[1])
    asked = asked.order_by(ReportInRow.taken_in_at.desc(), ReportInRow.visit_id).limit(limit)
    return [_report(*row) for row in session.execute(asked)]


def reports_in_of(
    session: Session, *, site_ids: Iterable[int] = (), visit_ids: Iterable[str] = ()
) -> list[ReportIn]:
    """Return the reports of some sites or visits, the last visit first; taken back ones too."""
    which = [
        *([among(session, ReportInRow.site_id, site_ids)] if site_ids else []),
        *([among(session, ReportInRow.visit_id, visit_ids)] if visit_ids else []),
    ]
    if not which:
        return []
    asked = _asked().where(or_(*which)).order_by(VisitRow.on_date.desc(), ReportInRow.visit_id)
    return [_report(*row) for row in session.execute(asked)]


def visits_reported(
    session: Session, scope: Scope, since: date, until: date
) -> dict[str, tuple[str, int, str, date]]:
    """Return by visit the firm that made it, its site with number, its day; only visits in force.

    Those that were recorded at the gate, by the site's firm, and those that a report tells of.
    """
    rows = session.execute(
        select(
            VisitRow.id,
            func.coalesce(ReportInRow.firm, FirmRow.name),
            SiteRow.id,
            SiteRow.key,
            VisitRow.on_date,
        )
        .join(SiteRow, SiteRow.id == VisitRow.site_id)
        .join(FirmRow, FirmRow.id == SiteRow.firm_id)
        .outerjoin(ReportInRow, ReportInRow.visit_id == VisitRow.id)
        .outerjoin(GateVisitRow, GateVisitRow.visit_id == VisitRow.id)
        .where(or_(ReportInRow.visit_id.is_not(None), GateVisitRow.visit_id.is_not(None)))
        .where(VisitRow.on_date >= since, VisitRow.on_date <= until, ~is_replaced(VisitRow.id))
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
    )
    return {row[0]: (row[1], row[2], row[3], row[4]) for row in rows}


def put_licensed(session: Session, one: Licensed, by: Author) -> str:
    """Add a licence to an authority's list or bring it up to date; return what was done."""
    return put_row(
        session,
        LicensedRow,
        {"jurisdiction_id": one.jurisdiction_id, "number": one.number},
        {
            "kind": one.kind,
            "firm": one.firm,
            "person": one.person,
            "valid_from": one.valid_from,
            "valid_to": one.valid_to,
        },
        by,
    )[1]


def licensed(session: Session, numbers: Iterable[str]) -> list[Licensed]:
    """Return the licences with some numbers: of the lists, and of the crews in the registry."""
    wanted = list(numbers)
    listed = session.scalars(
        select(LicensedRow)
        .where(among(session, LicensedRow.number, wanted))
        .order_by(LicensedRow.id)
        .execution_options(populate_existing=True)
    )
    found = [_licensed(row) for row in listed]
    places = {row.name: row.id for row in session.execute(_NAMES)}
    crews = session.execute(
        select(LicenceRow, TechnicianRow.name, FirmRow.name)
        .join(TechnicianRow, TechnicianRow.id == LicenceRow.technician_id)
        .join(FirmRow, FirmRow.id == TechnicianRow.firm_id)
        .where(among(session, LicenceRow.number, wanted))
        .order_by(LicenceRow.id)
    )
    for row, person, firm in crews:
        if row.jurisdiction and row.jurisdiction not in places:
            continue
        found.append(
            Licensed(
                jurisdiction_id=places.get(row.jurisdiction),
                number=row.number,
                kind=row.kind,
                firm=firm,
                person=person,
                valid_from=row.valid_from,
                valid_to=row.valid_to,
            )
        )
    return found


def licensed_in(session: Session, jurisdiction_ids: Iterable[int]) -> list[Licensed]:
    """Return the lists of some authorities, by firm and number."""
    asked = (
        select(LicensedRow)
        .where(among(session, LicensedRow.jurisdiction_id, jurisdiction_ids))
        .order_by(LicensedRow.firm, LicensedRow.number)
    )
    return [_licensed(row) for row in session.scalars(asked)]


def sites_with(
    session: Session, scope: Scope, keys: Iterable[str], permits: Iterable[str]
) -> list[tuple[int, str, int, int, str, str, date | None]]:
    """Return what answers to some numbers of sites and permits in a scope.

    Each: site, its key, its jurisdiction, system, its key, its permit, the day it was put in.
    """
    which: list[ColumnElement[bool]] = []
    wanted, allowed = list(keys), list(permits)
    if wanted:
        which.append(among(session, SiteRow.key, wanted))
    if allowed:
        by_permit = select(SystemRow.site_id).where(among(session, SystemRow.permit_no, allowed))
        which.append(SiteRow.id.in_(by_permit))
    if not which:
        return []
    rows = session.execute(
        select(
            SiteRow.id,
            SiteRow.key,
            SiteRow.jurisdiction_id,
            SystemRow.id,
            SystemRow.key,
            SystemRow.permit_no,
            SystemRow.installed_on,
        )
        .join(SystemRow, SystemRow.site_id == SiteRow.id)
        .where(SiteRow.active, or_(*which))
        .where(*scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
        .order_by(SiteRow.id, SystemRow.key)
    )
    return list(rows)


_NAMES = select(JurisdictionRow.name, JurisdictionRow.id)


def _asked() -> Select[ReportInRow, str, date, ReportInBackRow]:
    return (
        select(ReportInRow, SiteRow.key, VisitRow.on_date, ReportInBackRow)
        .join(SiteRow, SiteRow.id == ReportInRow.site_id)
        .join(VisitRow, VisitRow.id == ReportInRow.visit_id)
        .outerjoin(ReportInBackRow, ReportInBackRow.visit_id == ReportInRow.visit_id)
    )


def _report(row: ReportInRow, site: str, on_date: date, back: ReportInBackRow | None) -> ReportIn:
    told = {name: getattr(row, name) for name in _TOLD}
    return ReportIn(
        visit_id=row.visit_id,
        site_id=row.site_id,
        site=site,
        on_date=on_date,
        came_by=CameBy(row.came_by),
        taken_back_at=None if back is None else back.taken_back_at,
        taken_back_by="" if back is None else back.taken_back_by,
        why_taken_back="" if back is None else back.why,
        **told,
    )


def _licensed(row: LicensedRow) -> Licensed:
    return Licensed(
        id=row.id,
        jurisdiction_id=row.jurisdiction_id,
        number=row.number,
        kind=row.kind,
        firm=row.firm,
        person=row.person,
        valid_from=row.valid_from,
        valid_to=row.valid_to,
    )
