"""Sites with what is due there, for visits: a few questions however many sites there are."""

from collections.abc import Collection, Iterable
from datetime import date

from sqlalchemy import Select, select
from sqlalchemy.orm import Session

from registry.due.equipment import Equipment
from registry.due.visits import DueSite
from registry.hydraulics.on_file import FieldOnFile, field_on_file
from registry.records.gate_visit import SERIOUS
from registry.records.places import LonLat, ServiceWindow, WindowException
from registry.records.systems import Component, ComponentKind
from registry.records.visits import Hold
from registry.records.work import Obligation
from registry.store.among import among
from registry.store.reports import open_findings
from registry.store.scope import Scope
from registry.store.systems import components_of_systems
from registry.store.tables import (
    ComponentRow,
    JurisdictionRow,
    ServiceWindowRow,
    SiteRow,
    SystemRow,
    WindowExceptionRow,
)


def due_sites(
    session: Session,
    obligations: Iterable[Obligation],
    holds: Iterable[Hold],
    on_date: date,
) -> list[DueSite]:
    """Return the active sites that obligations and holds belong to, by id.

    Windows are read for all weekdays, so that a closed day can say when the owner opens;
    exceptions for the date only.
    """
    owed: dict[int, list[Obligation]] = {}
    for one in obligations:
        owed.setdefault(one.site_id, []).append(one)
    held = {one.site_id: one for one in holds}
    ids = sorted(owed.keys() | held.keys())
    windows = _windows(session, ids)
    exceptions = _exceptions(session, ids, on_date)
    systems = _systems(session, ids)
    equipment = _equipment(session, ids)
    follow_ups = _follow_ups(session, held, on_date)
    rows = session.execute(
        select(
            SiteRow.id,
            SiteRow.key,
            SiteRow.address,
            SiteRow.town,
            SiteRow.lon,
            SiteRow.lat,
            JurisdictionRow.name,
            SiteRow.water_available_gal,
            SiteRow.season_from,
            SiteRow.season_to,
            SiteRow.access_note,
        )
        .join(JurisdictionRow, JurisdictionRow.id == SiteRow.jurisdiction_id)
        .where(among(session, SiteRow.id, ids), SiteRow.active)
        .order_by(SiteRow.id)
    )
    found = []
    for row in rows:
        site_id, key, address, town, lon, lat, place, water, season_from, season_to, note = row
        mine = systems.get(site_id, {})
        found.append(
            DueSite(
                site_id=site_id,
                key=key,
                name=", ".join(filter(None, (address, town))),
                lon_lat=None if lon is None or lat is None else LonLat(lon, lat),
                jurisdiction=place,
                water_available_gal=water,
                season_from=season_from,
                season_to=season_to,
                windows=tuple(windows.get(site_id, ())),
                exceptions=tuple(exceptions.get(site_id, ())),
                obligations=tuple(owed.get(site_id, ())),
                systems=mine,
                equipment={one: equipment[one] for one in mine if one in equipment},
                hold=held.get(site_id),
                access_note=note,
                follow_ups=tuple(follow_ups.get(site_id, ())),
            )
        )
    return found


def _follow_ups(
    session: Session, held: Collection[int], on_date: date
) -> dict[int, dict[str, None]]:
    """Return by held site the kinds of findings to see to: serious ones, faults that are due."""
    found: dict[int, dict[str, None]] = {}
    for one, _ in open_findings(session, Scope(), on_date, held) if held else ():
        if one.seriousness == SERIOUS or (one.follow_up_on and one.follow_up_on <= on_date):
            found.setdefault(one.site_id, {})[one.kind] = None
    return found


def _windows(session: Session, ids: Collection[int]) -> dict[int, list[ServiceWindow]]:
    row = ServiceWindowRow
    found: dict[int, list[ServiceWindow]] = {}
    for site_id, weekday, opens_min, closes_min in session.execute(
        select(row.site_id, row.weekday, row.opens_min, row.closes_min)
        .where(among(session, row.site_id, ids))
        .order_by(row.id)
    ):
        found.setdefault(site_id, []).append(ServiceWindow(weekday, opens_min, closes_min))
    return found


def _exceptions(
    session: Session, ids: Collection[int], on_date: date
) -> dict[int, list[WindowException]]:
    row = WindowExceptionRow
    found: dict[int, list[WindowException]] = {}
    for site_id, opens_min, closes_min, note in session.execute(
        select(row.site_id, row.opens_min, row.closes_min, row.note)
        .where(row.on_date == on_date, among(session, row.site_id, ids))
        .order_by(row.id)
    ):
        found.setdefault(site_id, []).append(WindowException(on_date, opens_min, closes_min, note))
    return found


def _systems(session: Session, ids: Collection[int]) -> dict[int, dict[int, tuple[str, str]]]:
    found: dict[int, dict[int, tuple[str, str]]] = {}
    for system_id, site_id, kind, key in session.execute(
        select(SystemRow.id, SystemRow.site_id, SystemRow.kind, SystemRow.key)
        .where(among(session, SystemRow.site_id, ids))
        .order_by(SystemRow.id)
    ):
        found.setdefault(site_id, {})[system_id] = (kind, key)
    return found


def _equipment(session: Session, ids: Collection[int]) -> dict[int, Equipment]:
    row = ComponentRow
    systems = select(SystemRow.id).where(among(session, SystemRow.site_id, ids))
    found: dict[int, Equipment] = {}
    for system_id, kind, count, has_riser, cover_in in session.execute(
        select(row.system_id, row.kind, row.count, row.has_riser, row.cover_in).where(
            row.system_id.in_(systems)
        )
    ):
        if system_id not in found:
            found[system_id] = Equipment()
        found[system_id].add(kind, count, has_riser, cover_in)
    for system_id, field in _pressure_fields(session, systems).items():
        found[system_id].pressure_field = field
    return found


def _pressure_fields(session: Session, systems: Select[int]) -> dict[int, FieldOnFile]:
    """Return the fields of those systems of which a pump curve is on file."""
    row = ComponentRow
    pumps = session.execute(
        select(row.system_id, row.details).where(
            row.kind == ComponentKind.PUMP.value, row.system_id.in_(systems)
        )
    )
    known = [system_id for system_id, details in pumps if "curve" in details]
    parts: dict[int, list[Component]] = {}
    for one in components_of_systems(session, known) if known else ():
        parts.setdefault(one.system_id, []).append(one)
    return {system_id: field_on_file(mine) for system_id, mine in parts.items()}


def firm_of_site(session: Session, site_id: int) -> int | None:
    """Return the firm that an active site belongs to, None where there is no such site."""
    return session.scalar(select(SiteRow.firm_id).where(SiteRow.id == site_id, SiteRow.active))
