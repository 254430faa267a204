"""What stands in the fields of a site's file, read and changed one row at a time, with history."""

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from sqlalchemy import delete, insert, select
from sqlalchemy.orm import Session

from registry.records.places import LonLat, Site, WindowException
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_site
from registry.store.sites import exceptions_of_sites, windows_of_sites
from registry.store.tables import (
    AgreementRow,
    ComponentRow,
    JurisdictionRow,
    SiteRow,
    SystemRow,
    WindowExceptionRow,
)
from registry.store.window_load import put_windows
from registry.store.window_load import said as hours_said

ROWS: dict[str, type[SiteRow | SystemRow | ComponentRow | AgreementRow]] = {
    "site": SiteRow,
    "system": SystemRow,
    "component": ComponentRow,
    "agreement": AgreementRow,
}


def is_of_site(session: Session, site_id: int, kind: str, row_id: int) -> bool:
    """Tell whether a row belongs to the file of a site."""
    if kind == "component":
        asked = (select(ComponentRow.id).join(SystemRow).where(SystemRow.site_id == site_id)).where(
            ComponentRow.id == row_id
        )
    elif kind == "site":
        asked = select(SiteRow.id).where(SiteRow.id == site_id, SiteRow.id == row_id)
    else:
        of: Any = ROWS[kind]
        asked = select(of.id).where(of.id == row_id, of.site_id == site_id)
    return session.scalar(asked) is not None


def agreement_ids(session: Session, site_id: int) -> list[tuple[int, date]]:
    """Return id and first day of the agreements of a site, by day."""
    rows = session.execute(
        select(AgreementRow.id, AgreementRow.starts_on)
        .where(AgreementRow.site_id == site_id)
        .order_by(AgreementRow.starts_on, AgreementRow.id)
    )
    return [(row.id, row.starts_on) for row in rows]


def values_of(session: Session, kind: str, row_id: int, names: Iterable[str]) -> dict[str, Any]:
    """Return the values of some fields of a row that is there."""
    row: Any = session.get_one(ROWS[kind], row_id, populate_existing=True)
    return {name: _value(session, row, name) for name in names}


def said_of(name: str, value: Any) -> str:  # noqa: ANN401 - a value of any field
    """Return a value of a field as the history shows it."""
    return hours_said(value) if name == "windows" else as_said(value)


def put_values(
    session: Session, site_id: int, kind: str, row_id: int, values: Mapping[str, Any], by: Author
) -> list[str]:
    """Change fields of a row, note each in the history, and return the names of those changed.

    Raises
    ------
    NotFoundError
        If there is no such site.
    """
    lock_site(session, site_id)
    row: Any = session.get_one(ROWS[kind], row_id, populate_existing=True)
    lines, changed = [], []
    for name, value in values.items():
        before = _value(session, row, name)
        if before == value:
            continue
        changed.append(name)
        if name == "windows":
            put_windows(session, {site_id: value}, by)
            continue
        lines.append(
            by.change(kind, row_id, name, said_of(name, before), said_of(name, value), site_id)
        )
        _put(session, row, name, value)
    session.flush()
    note_changes(session, lines)
    return changed


def add_row(
    session: Session, site: Site, kind: str, under_id: int, values: Mapping[str, Any], by: Author
) -> int:
    """Add a system, component or agreement, note it in the history, and return its id."""
    lock_site(session, site.id)
    row: Any = ROWS[kind]()
    if kind == "component":
        row.system_id = under_id
    else:
        row.site_id = site.id
    if kind == "agreement":
        row.firm_id = site.firm_id
    if kind == "system":
        keys = select(SystemRow.key).where(SystemRow.site_id == site.id)
        row.key = _free_key(set(session.scalars(keys)))
    for name, value in values.items():
        _put(session, row, name, value)
    session.add(row)
    session.flush()
    said = "; ".join(f"{one} = {said_of(one, v)}" for one, v in values.items() if said_of(one, v))
    note_changes(session, [by.change(kind, row.id, kind, "", f"added: {said}", site.id)])
    number: int = row.id
    return number


def _free_key(taken: set[str]) -> str:
    key, number = "", 2
    while key in taken:
        key, number = str(number), number + 1
    return key


def _value(session: Session, row: Any, name: str) -> Any:  # noqa: ANN401 - a row and its field
    match name:
        case "position":
            return None if row.lon is None or row.lat is None else LonLat(row.lon, row.lat)
        case "windows":
            return tuple(windows_of_sites(session, [row.id]).get(row.id, ()))
        case "exceptions":
            return tuple(exceptions_of_sites(session, [row.id]).get(row.id, ()))
        case "jurisdiction":
            return session.get_one(JurisdictionRow, row.jurisdiction_id).name
        case _:
            return getattr(row, name)


def _put(session: Session, row: Any, name: str, value: Any) -> None:  # noqa: ANN401
    match name:
        case "position":
            row.lon, row.lat = value or (None, None)
        case "exceptions":
            _put_exceptions(session, row.id, value)
        case "jurisdiction":
            asked = select(JurisdictionRow.id).where(JurisdictionRow.name == value)
            row.jurisdiction_id = session.scalars(asked).one()
        case _:
            setattr(row, name, value)


def _put_exceptions(session: Session, site_id: int, hours: Iterable[WindowException]) -> None:
    session.execute(delete(WindowExceptionRow).where(WindowExceptionRow.site_id == site_id))
    rows = [
        {
            "site_id": site_id,
            "on_date": one.on_date,
            "opens_min": one.opens_min,
            "closes_min": one.closes_min,
            "note": one.note,
        }
        for one in hours
    ]
    if rows:
        session.execute(insert(WindowExceptionRow), rows)
