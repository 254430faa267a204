"""Sites: reading them whole, and changing them with their history."""

from collections.abc import Iterable, Mapping
from datetime import datetime
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session, aliased

from registry.errors import NotFoundError
from registry.records.changes import Change
from registry.records.places import Hazard, LonLat, ServiceWindow, Site, WindowException
from registry.store.among import among
from registry.store.history import as_said, note_changes
from registry.store.locks import lock_site
from registry.store.tables import ServiceWindowRow, SiteRow, WindowExceptionRow

PLAIN_FIELDS = (
    "key",
    "firm_id",
    "jurisdiction_id",
    "position_source",
    "position_accuracy_m",
    "address",
    "town",
    "parcel",
    "access_note",
    "gate_note",
    "gate_code",
    "private_note",
    "corner_note",
    "corner_b_note",
    "corner_b_bearing_deg",
    "corner_b_distance_ft",
    "owner_name",
    "owner_phone",
    "owner_email",
    "owner_address",
    "water_available_gal",
    "occupied_share",
    "season_from",
    "season_to",
    "note",
    "active",
    "merged_into_id",
)
"""Fields of a site that its row keeps under the same name."""


def site(session: Session, site_id: int, *, for_change: bool = False) -> Site:
    """Return one site; ``for_change`` holds it, so that nobody changes it before this session.

    Raises
    ------
    NotFoundError
        If there is no such site.
    """
    if for_change:
        lock_site(session, site_id)
    found = sites(session, [site_id])
    if not found:
        raise NotFoundError("There is no such site in this registry.")
    return found[0]


def site_ids_of(session: Session, key: str, firm_id: int | None = None) -> list[int]:
    """Return the ids of the sites with a key; several firms may use the same one."""
    asked = select(SiteRow.id).where(SiteRow.key == key).order_by(SiteRow.id)
    if firm_id is not None:
        asked = asked.where(SiteRow.firm_id == firm_id)
    return list(session.scalars(asked))


def site_ids_by_key(session: Session, firm_id: int, keys: Iterable[str]) -> dict[str, int]:
    """Return the ids of a firm's sites by key; keys that no site has are left out."""
    rows = session.execute(
        select(SiteRow.key, SiteRow.id).where(
            SiteRow.firm_id == firm_id, among(session, SiteRow.key, sorted(set(keys)))
        )
    )
    return {row.key: row.id for row in rows}


def merged_keys(session: Session, firm_id: int, keys: Iterable[str]) -> dict[str, str]:
    """Return those of some keys whose record was merged → the key of the site that holds."""
    holds = aliased(SiteRow)
    rows = session.execute(
        select(SiteRow.key, holds.key)
        .join(holds, holds.id == SiteRow.merged_into_id)
        .where(SiteRow.firm_id == firm_id, among(session, SiteRow.key, sorted(set(keys))))
    )
    return {row[0]: row[1] for row in rows}


def site_named(session: Session, key: str, firm_id: int | None = None) -> Site:
    """Return the site with a key.

    Raises
    ------
    NotFoundError
        If no site has it, or sites of several firms do and no firm is named.
    """
    ids = site_ids_of(session, key, firm_id)
    if not ids:
        raise NotFoundError(f"There is no site with the number {key}. Look it up on the site list.")
    if len(ids) > 1:
        raise NotFoundError(f"Several firms have a site with the number {key}. Say which firm.")
    return site(session, ids[0])


def sites(session: Session, site_ids: Iterable[int]) -> list[Site]:
    """Return some sites with their windows, by id; ids that are not there are left out."""
    wanted = sorted(set(site_ids))
    rows = session.scalars(
        select(SiteRow)
        .where(among(session, SiteRow.id, wanted))
        .order_by(SiteRow.id)
        .execution_options(populate_existing=True)
    ).all()
    windows = windows_of_sites(session, wanted)
    exceptions = exceptions_of_sites(session, wanted)
    return [
        site_of_row(row, tuple(windows.get(row.id, ())), tuple(exceptions.get(row.id, ())))
        for row in rows
    ]


def windows_of_sites(session: Session, site_ids: Iterable[int]) -> dict[int, list[ServiceWindow]]:
    """Return the weekly hours of some sites, by site, weekday and opening."""
    found: dict[int, list[ServiceWindow]] = {}
    rows = session.execute(
        select(
            ServiceWindowRow.site_id,
            ServiceWindowRow.weekday,
            ServiceWindowRow.opens_min,
            ServiceWindowRow.closes_min,
        )
        .where(among(session, ServiceWindowRow.site_id, site_ids))
        .order_by(ServiceWindowRow.site_id, ServiceWindowRow.weekday, ServiceWindowRow.opens_min)
    )
    for site_id, weekday, opens_min, closes_min in rows:
        found.setdefault(site_id, []).append(ServiceWindow(weekday, opens_min, closes_min))
    return found


def exceptions_of_sites(
    session: Session, site_ids: Iterable[int]
) -> dict[int, list[WindowException]]:
    """Return the dated hours of some sites, by site and date."""
    found: dict[int, list[WindowException]] = {}
    rows = session.execute(
        select(
            WindowExceptionRow.site_id,
            WindowExceptionRow.on_date,
            WindowExceptionRow.opens_min,
            WindowExceptionRow.closes_min,
            WindowExceptionRow.note,
        )
        .where(among(session, WindowExceptionRow.site_id, site_ids))
        .order_by(WindowExceptionRow.site_id, WindowExceptionRow.on_date, WindowExceptionRow.id)
    )
    for site_id, on_date, opens_min, closes_min, note in rows:
        found.setdefault(site_id, []).append(WindowException(on_date, opens_min, closes_min, note))
    return found


def change_site(
    session: Session,
    *,
    who: str,
    now: datetime,
    site_id: int,
    fields: Mapping[str, Any],
    source: str = "",
) -> Site:
    """Change fields of a site, note each in its history, and return the site as it is now.

    ``fields`` are named as in ``Site``; a field that already has the value is left alone.
    ``windows`` and ``exceptions`` have their own import and are not taken here.

    Raises
    ------
    NotFoundError
        If there is no such site.
    ValueError
        If a field is not one of a site's.
    """
    lock_site(session, site_id)
    row = session.get_one(SiteRow, site_id, populate_existing=True)
    columns = columns_of(fields)
    changes = []
    for column, value in columns.items():
        before = getattr(row, column)
        if before == value:
            continue
        setattr(row, column, value)
        changes.append(
            Change(
                at=now,
                who=who,
                source=source,
                kind="site",
                row_id=str(site_id),
                site_id=site_id,
                field=column,
                before=as_said(before),
                after=as_said(value),
            )
        )
    session.flush()
    note_changes(session, changes)
    return site(session, site_id)


def columns_of(fields: Mapping[str, Any]) -> dict[str, Any]:
    """Return the columns that hold some fields of a site.

    Raises
    ------
    ValueError
        If a field is not one that a site's row keeps.
    """
    columns: dict[str, Any] = {}
    for field, value in fields.items():
        if field == "lon_lat":
            columns |= {"lon": value.lon, "lat": value.lat} if value else {"lon": None, "lat": None}
        elif field == "hazards":
            columns["hazards"] = [{"kind": one.kind, "note": one.note} for one in value]
        elif field in PLAIN_FIELDS:
            columns[field] = value
        else:
            raise ValueError(f"{field} is not a field that a site's row keeps")
    return columns


def site_of_row(
    row: SiteRow,
    windows: tuple[ServiceWindow, ...] = (),
    exceptions: tuple[WindowException, ...] = (),
) -> Site:
    """Return the record of a site's row."""
    place = None
    if row.lon is not None and row.lat is not None:
        place = LonLat(row.lon, row.lat)
    return Site(
        id=row.id,
        lon_lat=place,
        hazards=tuple(Hazard(one["kind"], one["note"]) for one in row.hazards),
        windows=windows,
        exceptions=exceptions,
        **{field: getattr(row, field) for field in PLAIN_FIELDS},
    )
