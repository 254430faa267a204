"""Technicians, trucks, fill points and disposal sites."""

from datetime import date

from sqlalchemy import delete, select
from sqlalchemy.orm import Session

from registry.records.crew import DisposalSite, FillPoint, Licence, Technician, Truck
from registry.records.places import LonLat
from registry.store.among import among
from registry.store.history import Author, as_said, note_changes
from registry.store.put import put_row
from registry.store.tables import (
    DayOffRow,
    DisposalSiteRow,
    FillPointRow,
    LicenceRow,
    TechnicianRow,
    TruckRow,
)


def technicians(session: Session, firm_id: int, on_date: date | None = None) -> list[Technician]:
    """Return a firm's active technicians by name; with a date those who work on it.

    A technician works on a date that is one of their weekdays and none of their days off. All
    licences are given, with their dates: which one counts is for the planner to say.
    """
    rows = session.scalars(
        select(TechnicianRow)
        .where(TechnicianRow.firm_id == firm_id, TechnicianRow.active)
        .order_by(TechnicianRow.name)
        .execution_options(populate_existing=True)
    ).all()
    people = _with_all(session, list(rows))
    if on_date is None:
        return people
    return [
        one for one in people if on_date.weekday() in one.workdays and on_date not in one.days_off
    ]


def all_technicians(session: Session, firm_id: int) -> list[Technician]:
    """Return a firm's technicians by name, those who left included."""
    rows = session.scalars(
        select(TechnicianRow)
        .where(TechnicianRow.firm_id == firm_id)
        .order_by(TechnicianRow.name)
        .execution_options(populate_existing=True)
    ).all()
    return _with_all(session, list(rows))


def trucks(session: Session, firm_id: int) -> list[Truck]:
    """Return a firm's trucks by name."""
    rows = session.scalars(
        select(TruckRow).where(TruckRow.firm_id == firm_id).order_by(TruckRow.name)
    )
    return [_truck(row) for row in rows]


def fill_points(session: Session, firm_id: int) -> list[FillPoint]:
    """Return a firm's fill points by name."""
    rows = session.scalars(
        select(FillPointRow).where(FillPointRow.firm_id == firm_id).order_by(FillPointRow.name)
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
    """Return all disposal sites by name."""
    rows = session.scalars(select(DisposalSiteRow).order_by(DisposalSiteRow.name))
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


def put_truck(session: Session, firm_id: int, record: Truck, by: Author) -> tuple[int, str]:
    """Add a truck or bring it up to date by its name; return its id and what was done."""
    return put_row(
        session,
        TruckRow,
        {"firm_id": firm_id, "name": record.name},
        {
            "water_gal": record.water_gal,
            "septage_gal": record.septage_gal,
            "hose_ft": record.hose_ft,
            "weight_lb": record.weight_lb,
            "height_ft": record.height_ft,
        },
        by,
    )


def put_technician(
    session: Session, firm_id: int, record: Technician, by: Author
) -> tuple[int, str]:
    """Add a technician or bring one up to date by name; return the id and what was done.

    Licences and days off are taken as the record says them, whole.
    """
    truck_id = None
    if record.truck is not None:
        truck_id = session.scalar(
            select(TruckRow.id).where(
                TruckRow.firm_id == firm_id, TruckRow.name == record.truck.name
            )
        )
    row_id, done = put_row(
        session,
        TechnicianRow,
        {"firm_id": firm_id, "name": record.name},
        {
            "initials": record.initials,
            "home_lon": record.home.lon if record.home else None,
            "home_lat": record.home.lat if record.home else None,
            "shift_from_min": record.shift_from_min,
            "shift_to_min": record.shift_to_min,
            "lunch_from_min": record.lunch_from_min,
            "lunch_to_min": record.lunch_to_min,
            "lunch_min": record.lunch_min,
            "overtime_min": record.overtime_min,
            "overtime_percent": record.overtime_percent,
            "driving_percent": record.driving_percent,
            "workdays": list(record.workdays),
            "skills": list(record.skills),
            "truck_id": truck_id,
            "active": record.active,
            "phone": record.phone,
        },
        by,
    )
    touched = _put_licences(session, row_id, record, by) + _put_days_off(
        session, row_id, record, by
    )
    return row_id, "changed" if touched and done == "unchanged" else done


def put_fill_point(
    session: Session, firm_id: int, record: FillPoint, by: Author
) -> tuple[int, str]:
    """Add a fill point or bring it up to date by its name; return its id and what was done."""
    return put_row(
        session,
        FillPointRow,
        {"firm_id": firm_id, "name": record.name},
        {
            "lon": record.lon_lat.lon,
            "lat": record.lon_lat.lat,
            "minutes": record.minutes,
            "opens_min": record.opens_min,
            "closes_min": record.closes_min,
        },
        by,
    )


def put_disposal_site(session: Session, record: DisposalSite, by: Author) -> tuple[int, str]:
    """Add a disposal site or bring it up to date by its name; return its id and what was done."""
    return put_row(
        session,
        DisposalSiteRow,
        {"name": record.name},
        {
            "lon": record.lon_lat.lon,
            "lat": record.lon_lat.lat,
            "opens_min": record.opens_min,
            "closes_min": record.closes_min,
            "weekdays": list(record.weekdays),
            "note": record.note,
        },
        by,
    )


def _put_licences(session: Session, technician_id: int, record: Technician, by: Author) -> bool:
    kept = _licences(session, [technician_id]).get(technician_id, [])
    if kept == list(record.licences):
        return False
    session.execute(delete(LicenceRow).where(LicenceRow.technician_id == technician_id))
    session.add_all(
        LicenceRow(
            technician_id=technician_id,
            kind=one.kind,
            number=one.number,
            valid_from=one.valid_from,
            valid_to=one.valid_to,
            jurisdiction=one.jurisdiction,
        )
        for one in record.licences
    )
    session.flush()
    before = "; ".join(_licence_words(one) for one in kept)
    after = "; ".join(_licence_words(one) for one in record.licences)
    note_changes(session, [by.change("technician", technician_id, "licences", before, after)])
    return True


def _put_days_off(session: Session, technician_id: int, record: Technician, by: Author) -> bool:
    kept = _days_off(session, [technician_id]).get(technician_id, [])
    wanted = sorted(set(record.days_off))
    if kept == wanted:
        return False
    session.execute(delete(DayOffRow).where(DayOffRow.technician_id == technician_id))
    session.add_all(DayOffRow(technician_id=technician_id, on_date=one) for one in wanted)
    session.flush()
    line = by.change("technician", technician_id, "days_off", as_said(kept), as_said(wanted))
    note_changes(session, [line])
    return True


def _licence_words(one: Licence) -> str:
    return f"{one.kind} {one.number}, {one.valid_from or '…'} to {one.valid_to or '…'}"


def _with_all(session: Session, rows: list[TechnicianRow]) -> list[Technician]:
    ids = [row.id for row in rows]
    licences, off = _licences(session, ids), _days_off(session, ids)
    found = session.scalars(
        select(TruckRow).where(
            among(session, TruckRow.id, [row.truck_id for row in rows if row.truck_id is not None])
        )
    )
    owned = {row.id: _truck(row) for row in found}
    return [
        Technician(
            id=row.id,
            firm_id=row.firm_id,
            name=row.name,
            initials=row.initials,
            home=_place(row.home_lon, row.home_lat),
            shift_from_min=row.shift_from_min,
            shift_to_min=row.shift_to_min,
            lunch_from_min=row.lunch_from_min,
            lunch_to_min=row.lunch_to_min,
            lunch_min=row.lunch_min,
            overtime_min=row.overtime_min,
            overtime_percent=row.overtime_percent,
            driving_percent=row.driving_percent,
            workdays=tuple(row.workdays),
            skills=tuple(row.skills),
            licences=tuple(licences.get(row.id, ())),
            days_off=tuple(off.get(row.id, ())),
            truck=owned.get(row.truck_id) if row.truck_id is not None else None,
            active=row.active,
            phone=row.phone,
        )
        for row in rows
    ]


def _licences(session: Session, ids: list[int]) -> dict[int, list[Licence]]:
    found: dict[int, list[Licence]] = {}
    rows = session.scalars(
        select(LicenceRow)
        .where(among(session, LicenceRow.technician_id, ids))
        .order_by(LicenceRow.technician_id, LicenceRow.id)
    )
    for row in rows:
        found.setdefault(row.technician_id, []).append(
            Licence(
                kind=row.kind,
                number=row.number,
                valid_from=row.valid_from,
                valid_to=row.valid_to,
                jurisdiction=row.jurisdiction,
            )
        )
    return found


def _days_off(session: Session, ids: list[int]) -> dict[int, list[date]]:
    found: dict[int, list[date]] = {}
    rows = session.execute(
        select(DayOffRow.technician_id, DayOffRow.on_date)
        .where(among(session, DayOffRow.technician_id, ids))
        .order_by(DayOffRow.technician_id, DayOffRow.on_date)
    )
    for technician_id, on_date in rows:
        found.setdefault(technician_id, []).append(on_date)
    return found


def _truck(row: TruckRow) -> Truck:
    return Truck(
        id=row.id,
        firm_id=row.firm_id,
        name=row.name,
        water_gal=row.water_gal,
        septage_gal=row.septage_gal,
        hose_ft=row.hose_ft,
        weight_lb=row.weight_lb,
        height_ft=row.height_ft,
    )


def _place(lon: float | None, lat: float | None) -> LonLat | None:
    return None if lon is None or lat is None else LonLat(lon, lat)
