"""A day's routes as GPX 1.1: a waypoint a stop, a route a technician, a track along the roads."""

from xml.etree.ElementTree import Element, SubElement, tostring

from registry.records.day import Day, Route, Stop
from registry.records.places import LonLat

GPX = "http://www.topografix.com/GPX/1/1"


def day_gpx(day: Day, technician_id: int | None = None) -> bytes:
    """Return the routes of a day, or of one technician, as GPX 1.1.

    References
    ----------
    TopoGrafix, "GPX 1.1 Schema Documentation"; element order as its XSD asks.
    """
    root = Element("gpx", {"version": "1.1", "creator": "Riserway", "xmlns": GPX})
    metadata = SubElement(root, "metadata")
    SubElement(metadata, "name").text = f"Routes of {day.on_date.isoformat()}"
    if day.roads.credit:
        SubElement(metadata, "desc").text = f"Roads: {day.roads.credit}"
    routes = [one for one in day.routes if technician_id in {None, one.technician_id}]
    for route in routes:
        for stop in route.stops:
            _point(root, "wpt", stop)
    for route in routes:
        element = SubElement(root, "rte")
        SubElement(element, "name").text = f"{route.technician}, {day.on_date.isoformat()}"
        for stop in route.stops:
            _point(element, "rtept", stop)
    for route in routes:
        _track(root, day, route)
    head = b'<?xml version="1.0" encoding="UTF-8"?>\n'
    return head + bytes(tostring(root, encoding="utf-8"))


def _at(place: LonLat) -> dict[str, str]:
    return {"lat": f"{place.lat:.7f}", "lon": f"{place.lon:.7f}"}


def _point(parent: Element, tag: str, stop: Stop) -> None:
    if stop.lon_lat is None:
        return
    element = SubElement(parent, tag, _at(stop.lon_lat))
    SubElement(element, "name").text = f"{stop.arrives:%H:%M} {stop.site or stop.place}"
    described = ", ".join(stop.tasks) or stop.place
    SubElement(element, "desc").text = described
    SubElement(element, "type").text = stop.kind


def _track(root: Element, day: Day, route: Route) -> None:
    if not route.line:
        return
    track = SubElement(root, "trk")
    SubElement(
        track, "name"
    ).text = f"{route.technician} along the roads, {day.on_date.isoformat()}"
    segment = SubElement(track, "trkseg")
    for place in route.line:
        SubElement(segment, "trkpt", _at(place))
