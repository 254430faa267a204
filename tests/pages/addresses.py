"""Every GET address of the pages, made from the app's own map, for the records of one firm."""

from collections.abc import Iterator
from itertools import product
from typing import TYPE_CHECKING

from tests.pages.two_firms import Planted
from tests.pages.visitors import DAY, tile_at

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.routing import Rule

PUBLIC = ("static", "any_edition", "security.static", "library.send")
"""Files of the program itself."""
SUFFIXES = {
    "deadlines.file": ("ics", "csv"),
    "downloads.day_file": ("csv", "geojson", "gpx", "ics", "html"),
    "downloads.overdue_file": ("csv", "geojson", "gpkg", "zip", "gpx", "html"),
    "downloads.sites_file": ("csv", "geojson", "gpkg", "zip"),
}
ASKED = {
    "county_map.show": ("late=all", "late=nonsense"),
    "county_map.known": ("part=box",),
    "day.show": (f"date={DAY}",),
    "day.show_date": (f"beside={DAY}", "beside=nonsense"),
    "day_run.why": ("site={key}",),
    "day_run.ask_what_if": ("without=1",),
    "deadlines.show": ("kind=agreement", "kind=nonsense"),
    "due_list.show": ("within=3650",),
    "downloads.day_file": ("technician={technician}",),
    "downloads.overdue_file": ("late=all",),
    "features.items": ("limit=1000&f=html", "limit=1000", "nonsense=1"),
    "high_water.places": ("gauge=nonsense",),
    "high_water.show": ("stage=18", "stage=nonsense", "gauge=nonsense"),
    "hydraulics.show": ("site={site}", "site={site}&lift_ft=nonsense"),
    "letters.show": ("days=1",),
    "own_route.change": ("since=1",),
    "record.show": ("task={system}:pump-out",),
    "record.form_json": ("task=pump-out", "corrects={visit}", "corrects=nonsense"),
    "site_file.show": ("edge=323&other=325&interval=5", "edge=nonsense&ground=nonsense"),
    "tiles.systems": ("late=all",),
}
"""Endpoint → what is asked of it behind the address, beside nothing."""


def arguments(endpoint: str, who: Planted) -> dict[str, list[str]]:
    """Return by the name of an argument what to ask at an endpoint."""
    return {
        "site_id": [str(who.site_id)],
        "kind": ["site", "system", "component", "nonsense"],
        "row_id": [str(who.site_id), str(who.system_id)],
        "change_id": ["1"],
        "other_id": ["1", "2"],
        "merge_id": ["1"],
        "on": [DAY],
        "ending": [*SUFFIXES.get(endpoint, ()), "exe"],
        "number": ["1"],
        "visit_id": [who.id("visit"), who.id("second visit")],
        "finding_id": [who.id("finding")],
        "photo_id": [who.id("photo")],
        "phone_id": ["1", "2"],
        "view_id": ["1", "2"],
        "foreign_id": ["1", "2"],
        "run_id": ["1", "2", "3"],
        "secret": ["nonsense"],
        "year": [DAY[:4]],
        "digest": [who.digest(one) for one in ("photo", "photo of a finding", "photo taken back")],
        "batch": [who.id("letter"), who.id("letter of the county")],
        "collection_id": ["systems", "overdue", "flood-flags", "visits", "nonsense"],
        "feature_id": [str(who.site_id), str(who.system_id), who.id("visit")],
        "elsewhere": ["nonsense"],
        "revision": ["any"],
    }


def addresses(app: "Flask", who: Planted, method: str = "GET") -> Iterator[tuple[str, str]]:
    """Yield endpoint and address of each page; one without arguments here is told by its name."""
    for rule in app.url_map.iter_rules():
        if method in (rule.methods or ()) and rule.endpoint not in PUBLIC:
            for path in _paths(rule, who):
                yield rule.endpoint, path
                for asked in ASKED.get(rule.endpoint, ()) if method == "GET" else ():
                    told = {
                        "site": who.site_id,
                        "technician": who.technician_id,
                        "system": who.system_id,
                        "key": who.key,
                        "visit": who.id("visit"),
                    }
                    yield rule.endpoint, f"{path}?{asked.format(**told)}"


def _paths(rule: "Rule", who: Planted) -> list[str]:
    if {"z", "x", "y"} <= rule.arguments:
        tiles = [tile_at(zoom, who.lon, who.lat).split("/") for zoom in (7, 9, 10, 11, 12, 14)]
        known = [dict(zip("zxy", one, strict=True)) for one in tiles]
    else:
        known = [{}]
    rest = sorted(rule.arguments - {"z", "x", "y"})
    values = arguments(rule.endpoint, who)
    missing = [one for one in rest if one not in values]
    assert not missing, (
        f"The address {rule} has {', '.join(missing)}: say in tests/pages/addresses.py what to ask."
    )
    made = [
        tile | dict(zip(rest, chosen, strict=True))
        for tile in known
        for chosen in product(*(values[one] for one in rest))
    ]
    return [_filled(rule, one) for one in made]


def _filled(rule: "Rule", values: dict[str, str]) -> str:
    """Return an address of a rule; a whole number is given as such."""
    path = rule.rule
    for name, value in values.items():
        for kind in ("", "int:", "path:"):
            path = path.replace(f"<{kind}{name}>", value)
    return path
