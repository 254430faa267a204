"""Overdue systems as GPX 1.1 waypoints."""

from collections.abc import Mapping, Sequence
from datetime import date
from xml.etree.ElementTree import Element, SubElement, tostring

from registry.records.due_rows import DueMark
from registry.report.day_gpx import GPX


def overdue_gpx(marks: Sequence[DueMark], on_date: date, tasks: Mapping[str, str]) -> bytes:
    """Return one waypoint per overdue system that has a place."""
    root = Element("gpx", {"version": "1.1", "creator": "Riserway", "xmlns": GPX})
    metadata = SubElement(root, "metadata")
    SubElement(metadata, "name").text = f"Overdue systems on {on_date.isoformat()}"
    for one in marks:
        if one.lon_lat is None:
            continue
        at = {"lat": f"{one.lon_lat.lat:.7f}", "lon": f"{one.lon_lat.lon:.7f}"}
        point = SubElement(root, "wpt", at)
        SubElement(point, "name").text = one.site
        said = (
            f"{tasks.get(one.task, one.task)}, due {one.due_on}, {one.days_overdue} days past due"
        )
        SubElement(point, "desc").text = said
        SubElement(point, "type").text = one.kind
    head = b'<?xml version="1.0" encoding="UTF-8"?>\n'
    return head + bytes(tostring(root, encoding="utf-8"))
