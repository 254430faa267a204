"""Firms, jurisdictions and service agreements."""

from collections.abc import Iterable
from datetime import date
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.records.places import Agreement, Box, Firm, Jurisdiction, LonLat
from registry.store.among import among
from registry.store.history import Author
from registry.store.put import put_row
from registry.store.tables import AgreementRow, FirmRow, JurisdictionRow


def firms(session: Session) -> list[Firm]:
    """Return all firms by name."""
    return [_firm(row) for row in session.scalars(select(FirmRow).order_by(FirmRow.name))]


def firm(session: Session, firm_id: int) -> Firm:
    """Return one firm.

    Raises
    ------
    NotFoundError
        If there is no such firm.
    """
    row = session.get(FirmRow, firm_id)
    if row is None:
        raise NotFoundError("There is no such firm in this registry.")
    return _firm(row)


def put_firm(session: Session, record: Firm, by: Author) -> tuple[int, str]:
    """Add a firm or bring it up to date by its name; return its id and what was done.

    What was done is ``added``, ``changed`` or ``unchanged``. An empty phone or yard leaves what is
    kept.
    """
    given: dict[str, Any] = {"phone": record.phone} if record.phone else {}
    if record.yard is not None:
        given |= {"yard_lon": record.yard.lon, "yard_lat": record.yard.lat}
    given |= {
        "keep_free_min": record.keep_free_min,
        "keep_free_by_min": record.keep_free_by_min,
        "even_work_percent": record.even_work_percent,
        "daylight_only": record.daylight_only,
        "alone_margin_min": record.alone_margin_min,
    }
    return put_row(session, FirmRow, {"name": record.name}, given, by)


def jurisdictions(session: Session) -> list[Jurisdiction]:
    """Return all jurisdictions by name."""
    rows = session.scalars(select(JurisdictionRow).order_by(JurisdictionRow.name))
    return [_jurisdiction(row) for row in rows]


def jurisdiction(session: Session, jurisdiction_id: int) -> Jurisdiction:
    """Return one jurisdiction.

    Raises
    ------
    NotFoundError
        If there is no such jurisdiction.
    """
    row = session.get(JurisdictionRow, jurisdiction_id)
    if row is None:
        raise NotFoundError("There is no such jurisdiction in this registry.")
    return _jurisdiction(row)


def put_jurisdiction(session: Session, record: Jurisdiction, by: Author) -> tuple[int, str]:
    """Add a jurisdiction or bring it up to date by its name; return its id and what was done.

    What the record does not say (no box, no offset, no days) leaves what is kept.
    """
    box = record.box
    said = {
        "rule_set": record.rule_set or None,
        "west": box.west if box else None,
        "south": box.south if box else None,
        "east": box.east if box else None,
        "north": box.north if box else None,
        "ngvd29_to_navd88_ft": record.ngvd29_to_navd88_ft,
        "report_days": record.report_days,
        "hospital": record.hospital or None,
    }
    given: dict[str, Any] = {field: one for field, one in said.items() if one is not None}
    given |= {"time_zone": record.time_zone, "pump_out_trigger": record.pump_out_trigger}
    return put_row(session, JurisdictionRow, {"name": record.name}, given, by)


def agreement_of(session: Session, site_id: int, on_date: date | None = None) -> Agreement | None:
    """Return the agreement of a site that holds on a date, or the newest when no date is given."""
    kept = agreements_of_sites(session, [site_id])
    if on_date is not None:
        kept = [
            one
            for one in kept
            if one.starts_on <= on_date and (one.ends_on is None or on_date <= one.ends_on)
        ]
    return kept[-1] if kept else None


def agreements_of_sites(session: Session, site_ids: Iterable[int]) -> list[Agreement]:
    """Return the agreements of some sites, by site and first day."""
    rows = session.scalars(
        select(AgreementRow)
        .where(among(session, AgreementRow.site_id, site_ids))
        .order_by(AgreementRow.site_id, AgreementRow.starts_on, AgreementRow.id)
    )
    return [
        Agreement(
            id=row.id,
            site_id=row.site_id,
            firm_id=row.firm_id,
            starts_on=row.starts_on,
            ends_on=row.ends_on,
            visits_a_year=row.visits_a_year,
            includes=tuple(row.includes),
            renewal=row.renewal,
            renews_on=row.renews_on,
        )
        for row in rows
    ]


def _firm(row: FirmRow) -> Firm:
    yard = None
    if row.yard_lon is not None and row.yard_lat is not None:
        yard = LonLat(row.yard_lon, row.yard_lat)
    return Firm(
        id=row.id,
        name=row.name,
        yard=yard,
        phone=row.phone,
        keep_free_min=row.keep_free_min,
        keep_free_by_min=row.keep_free_by_min,
        even_work_percent=row.even_work_percent,
        daylight_only=row.daylight_only,
        alone_margin_min=row.alone_margin_min,
    )


def _jurisdiction(row: JurisdictionRow) -> Jurisdiction:
    box = None
    if None not in (row.west, row.south, row.east, row.north):
        box = Box(row.west, row.south, row.east, row.north)  # type: ignore[arg-type]  # none is None
    return Jurisdiction(
        id=row.id,
        name=row.name,
        time_zone=row.time_zone,
        rule_set=row.rule_set,
        box=box,
        ngvd29_to_navd88_ft=row.ngvd29_to_navd88_ft,
        pump_out_trigger=row.pump_out_trigger,
        report_days=row.report_days,
        hospital=row.hospital,
    )
