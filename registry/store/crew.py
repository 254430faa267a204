"""Technicians with licences, days off and trucks; fill points and disposal sites."""

from collections import defaultdict
from datetime import date

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import NotFoundError
from registry.records.crew import DisposalSite, FillPoint, Licence, Technician, Truck
from registry.records.places import Box, Firm, Jurisdiction, LonLat
from registry.store.tables import (
    DayOffRow,
    DisposalSiteRow,
    FillPointRow,
    FirmRow,
    JurisdictionRow,
    LicenceRow,
    TechnicianRow,
    TruckRow,
)


def firm(session: Session, firm_id: int) -> Firm:
    """Return one firm.

    Raises
    ------
    NotFoundError
        If there is none with this id.
    """
    row = session.get(FirmRow, firm_id)
    if row is None:
        raise NotFoundError("There is no such firm.")
    placed = row.yard_lon is not None and row.yard_lat is not None
    yard = LonLat(row.yard_lon or 0.0, row.yard_lat or 0.0) if placed else None
    return Firm(id=row.id, name=row.name, yard=yard, phone=row.phone)


def jurisdictions(session: Session) -> dict[int, Jurisdiction]:
    """Return all jurisdictions by id."""
    return {row.id: _jurisdiction(row) for row in session.scalars(select(JurisdictionRow))}


def technicians(session: Session, firm_id: int) -> list[Technician]:
    """Return the active technicians of a firm by id, with licences, days off and truck."""
    rows = list(
        session.scalars(
            select(TechnicianRow)
            .where(TechnicianRow.firm_id == firm_id, TechnicianRow.active)
            .order_by(TechnicianRow.id)
        )
    )
    ids = [row.id for row in rows]
    licences: dict[int, list[Licence]] = defaultdict(list)
    for row in session.scalars(
        select(LicenceRow).where(LicenceRow.technician_id.in_(ids)).order_by(LicenceRow.id)
    ):
        licences[row.technician_id].append(
            Licence(
                kind=row.kind,
                number=row.number,
                valid_from=row.valid_from,
                valid_to=row.valid_to,
                jurisdiction=row.jurisdiction,
            )
        )
    away: dict[int, list[date]] = defaultdict(list)
    for off in session.scalars(
        select(DayOffRow).where(DayOffRow.technician_id.in_(ids)).order_by(DayOffRow.on_date)
    ):
        away[off.technician_id].append(off.on_date)
    known = trucks(session, firm_id)
    return [
        _technician(row, licences[row.id], away[row.id], known.get(row.truck_id or 0))
        for row in rows
    ]


def trucks(session: Session, firm_id: int) -> dict[int, Truck]:
    """Return the trucks of a firm by id."""
    return {
        row.id: Truck(
            id=row.id,
            firm_id=row.firm_id,
            name=row.name,
            water_gal=row.water_gal,
            hose_ft=row.hose_ft,
            weight_lb=row.weight_lb,
            height_ft=row.height_ft,
        )
        for row in session.scalars(select(TruckRow).where(TruckRow.firm_id == firm_id))
    }


def fill_points(session: Session, firm_id: int) -> list[FillPoint]:
    """Return the places where a firm's trucks may fill their tanks."""
    rows = session.scalars(
        select(FillPointRow).where(FillPointRow.firm_id == firm_id).order_by(FillPointRow.id)
    )
    return [
        FillPoint(
            id=row.id,
            firm_id=row.firm_id,
            name=row.name,
            lon_lat=LonLat(row.lon, row.lat),
            minutes=row.minutes,
            opens_min=row.opens_min,
            closes_min=row.closes_min,
        )
        for row in rows
    ]


def disposal_sites(session: Session) -> list[DisposalSite]:
    """Return the places that take septage."""
    rows = session.scalars(select(DisposalSiteRow).order_by(DisposalSiteRow.id))
    return [
        DisposalSite(
            id=row.id,
            name=row.name,
            lon_lat=LonLat(row.lon, row.lat),
            opens_min=row.opens_min,
            closes_min=row.closes_min,
            weekdays=tuple(row.weekdays),
            note=row.note,
        )
        for row in rows
    ]


def _technician(
    row: TechnicianRow, licences: list[Licence], away: list[date], truck: Truck | None
) -> Technician:
    homed = row.home_lon is not None and row.home_lat is not None
    return Technician(
        id=row.id,
        firm_id=row.firm_id,
        name=row.name,
        initials=row.initials,
        home=LonLat(row.home_lon or 0.0, row.home_lat or 0.0) if homed else None,
        shift_from_min=row.shift_from_min,
        shift_to_min=row.shift_to_min,
        lunch_from_min=row.lunch_from_min,
        lunch_to_min=row.lunch_to_min,
        lunch_min=row.lunch_min,
        workdays=tuple(row.workdays),
        skills=tuple(row.skills),
        licences=tuple(licences),
        days_off=tuple(away),
        truck=truck,
        active=row.active,
    )


def _jurisdiction(row: JurisdictionRow) -> Jurisdiction:
    edges = (row.west, row.south, row.east, row.north)
    known = [edge for edge in edges if edge is not None]
    return Jurisdiction(
        id=row.id,
        name=row.name,
        time_zone=row.time_zone,
        rule_set=row.rule_set,
        box=Box(*known) if len(known) == 4 else None,
        ngvd29_to_navd88_ft=row.ngvd29_to_navd88_ft,
        pump_out_trigger=row.pump_out_trigger,
        report_days=row.report_days,
    )
