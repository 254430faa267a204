"""Closed roads from a GeoJSON file: lines and areas, with what their properties say."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from shapely.geometry.base import BaseGeometry

from registry.errors import Complaint, FileError, RangeError, RowError
from registry.imports.geojson_file import WGS84, open_geojson
from registry.imports.limits import Limits
from registry.records.closures import Closure, Hours, hours_in

USABLE = frozenset({"LineString", "MultiLineString", "Polygon", "MultiPolygon"})
LARGEST_BYTES = 5_000_000
FIELDS = ("name", "road", "from", "until", "hours", "why")


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosureDays:
    """When a closure holds of which the file says nothing; see ``Closure``."""

    first_on: date
    last_on: date | None = None
    hours: Hours | None = None
    why: str = ""


def closures_in(path: Path, unless_said: ClosureDays, name: str = "") -> list[Closure]:
    """Return the closures of a GeoJSON file, one for each feature.

    Parameters
    ----------
    path
        The file. Each feature may say ``name``, ``road`` (only that road is closed), ``from``,
        ``until`` (dates), ``hours`` (as 08:00-12:00) and ``why``.
    unless_said
        What holds where a feature does not say it.
    name
        The file's name for people; its own unless given.

    Raises
    ------
    FileError
        If it is no GeoJSON in longitude and latitude, or holds no feature.
    RowError
        If a feature is no line and no area, or says something that is not understood; all
        complaints at once, and nothing is closed.
    """
    name = name or path.name
    if not path.is_file():
        raise FileError(f"There is no file {path}.")
    source = open_geojson(path, name, Limits(geojson_bytes=LARGEST_BYTES))
    if source.crs != WGS84:
        raise FileError(f"{name} is in {source.crs}. Closures are read in longitude and latitude.")
    closures: list[Closure] = []
    complaints: list[Complaint] = []
    for sheet in source.sheets():
        complaints += [
            Complaint(name, one.number, "", one.wrong, one.remedy) for one in sheet.broken
        ]
        for i, number in enumerate(sheet.numbers):
            said = {field: sheet.columns[field][i] for field in FIELDS if field in sheet.columns}
            shape = sheet.geometries[i] if sheet.geometries else None
            fault = sheet.faults.get(i, "")
            if fault or not isinstance(shape, BaseGeometry) or shape.geom_type not in USABLE:
                wrong = fault or "a closure is a line or an area"
                complaints.append(Complaint(name, number, "", wrong, "Draw one of the two"))
                continue
            try:
                closures.append(_closure(said, shape, unless_said, f"{name}, feature {number}"))
            except (RangeError, ValueError) as wrong_value:
                remedy = "Write dates as 2026-06-15 and hours as 08:00-12:00"
                complaints.append(Complaint(name, number, "", str(wrong_value).rstrip("."), remedy))
    if complaints:
        raise RowError(complaints)
    if not closures:
        raise FileError(f"{name} holds no feature, so nothing would be closed.")
    return closures


def _closure(
    said: Mapping[str, str], shape: BaseGeometry, unless_said: ClosureDays, name: str
) -> Closure:
    first_on = date.fromisoformat(said["from"]) if said.get("from") else unless_said.first_on
    last_on = date.fromisoformat(said["until"]) if said.get("until") else unless_said.last_on
    return checked(
        Closure(
            name=said.get("name") or name,
            shape=shape,
            road=said.get("road", ""),
            first_on=first_on,
            last_on=last_on,
            hours=hours_in(said["hours"]) if said.get("hours") else unless_said.hours,
            why=said.get("why") or unless_said.why,
        )
    )


def checked(closure: Closure) -> Closure:
    """Return a closure that ends after it begins.

    Raises
    ------
    RangeError
        If it does not.
    """
    if closure.last_on is not None and closure.last_on < closure.first_on:
        raise RangeError(f"A closure from {closure.first_on} cannot end on {closure.last_on}.")
    return closure
