"""A planned day as files: table, GPX, calendar, stand-alone map, JSON."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from registry.errors import FileError, NotFoundError
from registry.records.changes import Viewer
from registry.records.day import Day
from registry.services.see_day import see_day
from registry.store import Session

ENDINGS = {
    "csv": "text/csv; charset=utf-8",
    "gpx": "application/gpx+xml",
    "ics": "text/calendar; charset=utf-8",
    "html": "text/html; charset=utf-8",
    "geojson": "application/geo+json",
}
"""What a day can be written as."""


@dataclass(frozen=True, slots=True)
class FileOut:
    """A file ready to be sent or saved."""

    name: str
    media_type: str
    body: bytes


def hand_out_day(
    session: Session,
    viewer: Viewer,
    on_date: date,
    ending: str,
    *,
    technician_id: int | None = None,
    base: Mapping[str, Any] | None = None,
) -> FileOut:
    """Return the day in force as one file, chosen by its ending.

    Parameters
    ----------
    session, viewer, on_date
        Which day, and who takes it out.
    ending
        One of ``ENDINGS``, without the dot.
    technician_id
        Only this technician's route (.gpx, .ics).
    base
        Simplified roads and water for the map, as GeoJSON.

    Raises
    ------
    NotFoundError
        If the date was not ordered yet, or the technician has no route.
    FileError
        If a day cannot be written as that.
    """
    if ending not in ENDINGS:
        known = ", ".join(f".{one}" for one in ENDINGS)
        raise FileError(f"A day cannot be written as .{ending}. Choose one of {known}.")
    view = see_day(session, viewer, on_date)
    if view.day is None:
        raise NotFoundError(f"{on_date.isoformat()} is not ordered yet. Order the day first.")
    day = _only(view.day, technician_id)
    name = f"day-{on_date.isoformat()}"
    if technician_id is not None:
        name += f"-{day.routes[0].initials.lower()}"
    return FileOut(f"{name}.{ending}", ENDINGS[ending], _body(day, ending, base))


def _only(day: Day, technician_id: int | None) -> Day:
    if technician_id is None:
        return day
    from dataclasses import replace

    routes = tuple(one for one in day.routes if one.technician_id == technician_id)
    if not routes:
        raise NotFoundError("That technician has no route on this date.")
    return replace(day, routes=routes, waiting=())


def _body(day: Day, ending: str, base: Mapping[str, Any] | None) -> bytes:
    if ending == "gpx":
        from registry.report.day_gpx import day_gpx

        return day_gpx(day)
    if ending == "ics":
        from registry.report.day_calendar import day_calendar

        return day_calendar(day)
    if ending == "html":
        from registry.exports.day_map import day_map

        return day_map(day, base).encode()
    from registry.report.day_table import COLUMNS, day_rows

    if ending == "csv":
        from registry.report.csv_text import csv_text

        return csv_text(COLUMNS, day_rows(day)).encode()
    from registry.records.places import LonLat
    from registry.report.geojson_text import feature_collection

    placed = []
    for row in day_rows(day):
        lon, lat = row.pop("lon"), row.pop("lat")
        placed.append((LonLat(float(str(lon)), float(str(lat))) if lon is not None else None, row))
    return feature_collection(placed, day.roads.credit).encode()
