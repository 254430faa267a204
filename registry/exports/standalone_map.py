"""A folium map with everything inside the file: it opens without a network and asks for nothing."""

import base64
import html
import re
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from registry.errors import StoreError
from registry.records.places import LonLat
from registry.report.ink import EDGE, FAINT, INK, PAPER, SOFT, WATER

if TYPE_CHECKING:
    import folium

ROAD = "#8f887a"
"""Roads lie behind everything else, so they may be faint."""
DIGITS = 5
"""A metre is fine enough to draw."""


def paper_map(places: Sequence[LonLat], credit: str) -> "folium.Map":
    """Return an empty map on plain paper that shows some places."""
    import folium

    lons = [one.lon for one in places] or [-0.1, 0.1]
    lats = [one.lat for one in places] or [-0.1, 0.1]
    west, south, east, north = min(lons), min(lats), max(lons), max(lats)
    made = folium.Map(
        tiles=None,
        location=((south + north) / 2, (west + east) / 2),
        zoom_start=11,
        control_scale=True,
        prefer_canvas=True,
    )
    made.default_js = []
    made.default_css = []
    made.fit_bounds([(south, west), (north, east)], padding=(30, 30), max_zoom=15)
    made.options["attribution_control"] = True
    if credit:
        folium.TileLayer(
            tiles="data:,", attr=html.escape(credit), overlay=True, control=False
        ).add_to(made)
    return made


def add_base(made: "folium.Map", base: Mapping[str, Any] | None) -> None:
    """Draw simplified roads and water below everything else.

    ``base`` is a GeoJSON FeatureCollection whose features have a property ``kind``: water,
    waterway or road.
    """
    import folium

    if not base or not base.get("features"):
        return
    folium.GeoJson(
        base, control=False, style_function=_base_style, interactive=False, zoom_on_click=False
    ).add_to(made)


def _base_style(feature: Mapping[str, Any]) -> dict[str, Any]:
    kind = feature.get("properties", {}).get("kind", "road")
    if kind == "water":
        return {"color": WATER, "weight": 0, "fillColor": WATER, "fillOpacity": 0.22}
    if kind == "waterway":
        return {"color": WATER, "weight": 1.5, "opacity": 0.6}
    return {"color": ROAD, "weight": 1.3, "opacity": 0.8}


def add_points(
    made: "folium.Map", points: Sequence[tuple[LonLat, Mapping[str, Any]]], draw: str
) -> None:
    """Draw many points by one JavaScript function of (feature, latlng).

    Texts among the properties become markup: they are escaped here.
    """
    import folium
    from folium.utilities import JsCode

    if not points:
        return
    features = [
        {
            "type": "Feature",
            "geometry": {
                "type": "Point",
                "coordinates": [round(place.lon, DIGITS + 1), round(place.lat, DIGITS + 1)],
            },
            "properties": {name: _escaped(value) for name, value in told.items()},
        }
        for place, told in points
    ]
    folium.GeoJson(
        {"type": "FeatureCollection", "features": features},
        control=False,
        zoom_on_click=False,
        point_to_layer=JsCode(draw),
    ).add_to(made)


def _escaped(value: Any) -> Any:  # noqa: ANN401 - any JSON value
    return html.escape(value) if isinstance(value, str) else value


def as_page(made: "folium.Map", title: str, list_html: str) -> str:
    """Return one HTML page: title, map, and below it ``list_html``, escaped by the caller."""
    from branca.element import Element

    root: Any = made.get_root()
    head = Element(f"<title>{html.escape(title)}</title>")
    root.header.add_child(head, name="title")
    root.header.add_child(Element(f"<style>{_leaflet_css()}</style>"), name="css")
    root.header.add_child(Element(f"<style>{PAGE_CSS}</style>"), name="page_css")
    plain = "L.Control.Attribution.prototype.options.prefix=false"  # data credits only
    script = f"<script>{_leaflet('leaflet.js').decode()};{plain}</script>"
    root.header.add_child(Element(script), name="js")
    root.html.add_child(Element(f"<header><h1>{html.escape(title)}</h1></header>"), name="top")
    made.render()  # puts the map here, so that the list comes after it
    root.html.add_child(Element(f"<main>{list_html}</main>"), name="list")
    root.script.add_child(Element(TIDY.replace("MAP", made.get_name())), name="tidy")
    page = str(root.render()).replace("<html>", '<html lang="en">', 1)
    return re.sub(r'<meta name="viewport"[^>]*>', VIEWPORT, page)


VIEWPORT = '<meta name="viewport" content="width=device-width, initial-scale=1">'
"""The library's own forbids to enlarge the page."""

TIDY = """
(() => {
  const tidy = () => {
    const kept = [];
    for (const label of document.querySelectorAll('.label')) {
      const box = label.getBoundingClientRect();
      const covered = kept.some((one) => one.left < box.right && box.left < one.right
        && one.top < box.bottom && box.top < one.bottom);
      label.style.visibility = covered ? 'hidden' : '';
      if (!covered) kept.push(box);
    }
  };
  MAP.on('zoomend', tidy);
  MAP.whenReady(() => setTimeout(tidy));
})();
"""
"""Of labels that would cover each other one is shown; closer in they all have room."""

PAGE_CSS = f"""
html, body {{ margin: 0; background: {PAPER}; color: {INK};
  font: 16px/1.45 "Segoe UI", "Helvetica Neue", Arial, "DejaVu Sans", sans-serif; }}
h1, h2 {{ font-family: Georgia, "DejaVu Serif", serif; line-height: 1.2; }}
h1 {{ font-size: 1.5rem; margin: .7rem 1rem; }}
h2 {{ font-size: 1.2rem; margin: 1.4rem 0 .3rem; }}
.folium-map {{ position: relative; width: 100%; height: 72vh; background: {PAPER};
  border: solid {EDGE}; border-width: 1px 0; }}
.folium-map.folium-map {{ height: 72vh !important; }}
main {{ padding: 0 1rem 1.5rem; max-width: 72rem; }}
.scroll {{ overflow-x: auto; }}
table {{ min-width: 44rem; border-collapse: collapse; font-variant-numeric: tabular-nums; }}
th, td {{ text-align: left; padding: .25rem .9rem .25rem 0; border-bottom: 1px solid {FAINT};
  vertical-align: top; }}
thead th {{ border-bottom: 2px solid {INK}; font-size: .88rem; }}
th:first-child, td:first-child {{ white-space: nowrap; }}
.quiet {{ color: {SOFT}; font-size: .88rem; }}
.leaflet-container {{ font: 14px/1.4 "Segoe UI", "Helvetica Neue", Arial, sans-serif; }}
.leaflet-container .leaflet-control-attribution {{ background: {PAPER}; color: {INK}; }}
.leaflet-tooltip.label {{ padding: 0; border: 0; background: none; box-shadow: none; color: {INK};
  font: bold 13px/1 Georgia, "DejaVu Serif", serif; white-space: nowrap;
  text-shadow: 0 0 2px {PAPER}, 0 0 3px {PAPER}, 0 0 3px {PAPER}, 0 0 4px {PAPER}; }}
.leaflet-tooltip.label::before {{ display: none; }}
.label.water {{ color: {WATER}; }}
.lid circle {{ fill: none; }}
.lid .cover {{ fill: {PAPER}; stroke: {INK}; stroke-width: .6; }}
.lid .passed {{ stroke: {INK}; stroke-width: 3; }}
.lid .late {{ stroke: {INK}; stroke-width: 2; }}
.lid .bolts {{ stroke: {INK}; stroke-width: 1.4; stroke-linecap: round; fill: none; }}
.lid .bar {{ stroke: {INK}; stroke-width: 2.4; }}
.lid .wave {{ stroke: {WATER}; stroke-width: 1.8; fill: none; }}
@media print {{ .folium-map.folium-map {{ height: 14cm !important; }} table {{ min-width: 0; }} }}
"""


def _leaflet(name: str) -> bytes:
    """Return one of Leaflet's files out of its package, which is found without importing it."""
    found = find_spec("xstatic.pkg.leaflet")
    folders = found.submodule_search_locations if found else None
    if not folders:
        raise StoreError("The package XStatic-Leaflet is not installed. Install the program again.")
    text = (Path(next(iter(folders))) / "data" / name).read_bytes()
    return re.sub(rb"//# sourceMappingURL=\S+", b"", text)


@cache
def _leaflet_css() -> str:
    """Return Leaflet's styles with their images inside."""

    def inside(match: re.Match[str]) -> str:
        body = base64.b64encode(_leaflet(match.group(1))).decode()
        return f"url(data:image/png;base64,{body})"

    return re.sub(r"url\((images/[^)]+\.png)\)", inside, _leaflet("leaflet.css").decode())
