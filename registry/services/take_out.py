"""Sites and overdue systems as files; which columns they have is decided by the role."""

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from registry.errors import FileError
from registry.privacy import HIDDEN, require
from registry.records.changes import Viewer
from registry.records.due_rows import DueFilter, DueMark
from registry.records.places import LonLat, Site
from registry.records.systems import System
from registry.report.geojson_text import DECIMALS, feature_collection
from registry.services.hand_out_day import ENDINGS, FileOut
from registry.store import Session, inventory, overdue, places, rules, sites, systems
from registry.store.scope import scope_of

GPKG = "application/geopackage+sqlite3"

SITE_COLUMNS = (
    "key", "lon", "lat", "position_source", "position_accuracy_m", "address", "town", "parcel",
    "jurisdiction", "access_note", "gate_note", "gate_code", "private_note", "note", "hazards",
    "corner_note", "corner_b_note", "corner_b_bearing_deg", "corner_b_distance_ft",
    "owner_name", "owner_phone", "owner_email", "owner_address", "water_available_gal",
    "occupied_share", "season_from", "season_to", "active",
)  # fmt: skip
SYSTEM_COLUMNS = (
    "system_key", "kind", "permit_no", "permit_status", "rule_set", "design_flow_gpd", "bedrooms",
    "people", "installed_on",
)  # fmt: skip
"""The names that ``import sites`` takes, so that what goes out can come in again."""

OVERDUE_COLUMNS = (
    "site", "system_kind", "task", "due_on", "days_overdue", "overdue", "share_passed",
    "jurisdiction", "in_hazard_area", "below_bfe", "lon", "lat",
)  # fmt: skip

NO_SYSTEM: Sequence[System | None] = (None,)
"""A site without a system is one row all the same."""


def take_out_sites(session: Session, viewer: Viewer, ending: str) -> FileOut:
    """Return all sites that a viewer sees, one row per system, as .csv, .geojson, .gpkg or .zip.

    Raises
    ------
    AccessError
        If the role may not take files out.
    FileError
        If sites cannot be written as that.
    """
    require(viewer, "take files out")
    hidden = HIDDEN[Site].get(viewer.role, frozenset())
    columns = [name for name in (*SITE_COLUMNS, *SYSTEM_COLUMNS) if name not in hidden]
    kept = sites.sites(session, inventory.ids_in_scope(session, scope_of(viewer)))
    of_site: dict[int, list[System]] = {}
    for system in systems.systems_of_sites(session, [one.id for one in kept]):
        of_site.setdefault(system.site_id, []).append(system)
    named = {one.id: one.name for one in places.jurisdictions(session)}
    rows = [
        _site_row(site, system, named.get(site.jurisdiction_id, ""), columns)
        for site in kept
        for system in of_site.get(site.id, NO_SYSTEM)
    ]
    return _file("sites", ending, columns, rows, "", decimals=None)


def take_out_overdue(
    session: Session,
    viewer: Viewer,
    on_date: date,
    which: DueFilter,
    ending: str,
    *,
    base: Mapping[str, Any] | None = None,
    credit: str = "",
) -> FileOut:
    """Return overdue systems as .csv, .geojson, .gpkg, .zip, .gpx or .html, nothing private.

    Raises
    ------
    AccessError
        If the role may not take files out.
    FileError
        If they cannot be written as that.
    """
    require(viewer, "take files out")
    marks = overdue.overdue_page(session, scope_of(viewer), on_date, which, None, None)
    named = {one.id: one.name for one in places.jurisdictions(session)}
    tasks = {one.code: one.name for one in rules.task_kinds(session)}
    name = f"overdue-{on_date.isoformat()}"
    if ending == "html":
        from registry.exports.overdue_map import overdue_map

        page = overdue_map(marks, on_date, tasks, credit, base)
        return FileOut(f"{name}.html", ENDINGS["html"], page.encode())
    if ending == "gpx":
        from registry.report.overdue_gpx import overdue_gpx

        return FileOut(f"{name}.gpx", ENDINGS["gpx"], overdue_gpx(marks, on_date, tasks))
    rows = [_overdue_row(one, named, tasks) for one in marks]
    return _file(name, ending, OVERDUE_COLUMNS, rows, credit)


def _file(
    name: str,
    ending: str,
    columns: Sequence[str],
    rows: list[dict[str, Any]],
    credit: str,
    decimals: int | None = DECIMALS,
) -> FileOut:
    if ending == "csv":
        from registry.report.csv_text import csv_text

        return FileOut(f"{name}.csv", ENDINGS["csv"], csv_text(columns, rows).encode())
    if ending == "geojson":
        placed = [(_place(row), _without_place(row)) for row in rows]
        text = feature_collection(placed, credit, decimals)
        return FileOut(f"{name}.geojson", ENDINGS["geojson"], text.encode())
    if ending == "gpkg":
        from registry.exports.geopackage import geopackage

        placed = [(_place(row), _without_place(row)) for row in rows]
        kept = [one for one in columns if one not in {"lon", "lat"}]
        return FileOut(f"{name}.gpkg", GPKG, geopackage(name, kept, placed))
    if ending == "zip":
        return _shapefile(name, columns, rows)
    raise FileError(
        f"This cannot be written as .{ending}. Choose .csv, .geojson, .gpkg, or .zip for a "
        "Shapefile."
    )


def _shapefile(name: str, columns: Sequence[str], rows: list[dict[str, Any]]) -> FileOut:
    """Return a zipped Shapefile with the column map by which it comes in again."""
    from registry.exports.shapefile import cut_texts, shapefile_zip, short_names
    from registry.imports.column_map import ColumnMap, written

    kept = [one for one in columns if one not in {"lon", "lat"}]
    names = short_names(kept)
    cut = cut_texts(kept, rows, kept[0])
    known = {field: column for field, column in names.items() if field != "key"}
    mapped = ColumnMap(key=("key",) if "key" in names else (), columns=known)
    extra = {f"{name}.map.toml": written(mapped, cut)}
    placed = [(_place(row), _without_place(row)) for row in rows]
    return FileOut(f"{name}.zip", "application/zip", shapefile_zip(name, kept, placed, extra))


def _place(row: Mapping[str, Any]) -> LonLat | None:
    lon, lat = row.get("lon"), row.get("lat")
    return None if lon is None or lat is None else LonLat(lon, lat)


def _without_place(row: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in row.items() if name not in {"lon", "lat"}}


def _site_row(
    site: Site, system: System | None, jurisdiction: str, columns: Sequence[str]
) -> dict[str, Any]:
    made: dict[str, Any] = {
        "lon": site.lon_lat.lon if site.lon_lat else None,
        "lat": site.lon_lat.lat if site.lon_lat else None,
        "jurisdiction": jurisdiction,
        "hazards": "; ".join(
            f"{one.kind}: {one.note}" if one.note else one.kind for one in site.hazards
        ),
        "active": "yes" if site.active else "no",
    }
    if system is not None:
        made |= {
            "system_key": system.key,
            "kind": system.kind.value
            if system.kind.value != "unknown"
            else system.kind_as_given or "unknown",
            "installed_on": system.installed_on.isoformat() if system.installed_on else None,
        }
    return {name: made[name] if name in made else _held(site, system, name) for name in columns}


def _held(site: Site, system: System | None, name: str) -> Any:  # noqa: ANN401 - any field
    if name in SYSTEM_COLUMNS:
        return getattr(system, name) if system is not None else None
    return getattr(site, name)


def _overdue_row(
    mark: DueMark, named: Mapping[int, str], tasks: Mapping[str, str]
) -> dict[str, Any]:
    return {
        "site": mark.site,
        "system_kind": mark.kind,
        "task": tasks.get(mark.task, mark.task),
        "due_on": mark.due_on.isoformat() if mark.due_on else None,
        "days_overdue": mark.days_overdue,
        "overdue": "yes" if mark.overdue else "no",
        "share_passed": None if mark.share_passed is None else round(mark.share_passed, 3),
        "jurisdiction": named.get(mark.jurisdiction_id, ""),
        "in_hazard_area": _said(mark.in_hazard_area),
        "below_bfe": _said(mark.below_bfe),
        "lon": mark.lon_lat.lon if mark.lon_lat else None,
        "lat": mark.lon_lat.lat if mark.lon_lat else None,
    }


def _said(known: bool | None) -> str:
    return {True: "yes", False: "no", None: "unknown"}[known]
