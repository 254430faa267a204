"""A folium map with everything inside the file: it opens without a network and asks for nothing."""

import base64
import re
from collections.abc import Mapping
from functools import cache
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING, Any

from registry.errors import StoreError

if TYPE_CHECKING:
    import folium

INK, PAPER, WATER, FAINT = "#1f2a2b", "#fbf9f4", "#2a6f97", "#c9c3b6"


def paper_map(bounds: tuple[float, float, float, float], credit: str) -> "folium.Map":
    """Return an empty map on plain paper over (west, south, east, north) [deg]."""
    import folium

    west, south, east, north = bounds
    made = folium.Map(
        tiles=None,
        location=((south + north) / 2, (west + east) / 2),
        zoom_start=11,
        control_scale=True,
        prefer_canvas=True,
    )
    made.default_js = []
    made.default_css = []
    made.fit_bounds([(south, west), (north, east)])
    made.options["attribution_control"] = True
    folium.TileLayer(tiles="data:,", attr=_escaped(credit), overlay=True, control=False).add_to(
        made
    )
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
        base,
        name="roads and water",
        control=False,
        style_function=_base_style,
        interactive=False,
    ).add_to(made)


def _base_style(feature: Mapping[str, Any]) -> dict[str, Any]:
    kind = feature.get("properties", {}).get("kind", "road")
    if kind == "water":
        return {"color": WATER, "weight": 0, "fillColor": WATER, "fillOpacity": 0.25}
    if kind == "waterway":
        return {"color": WATER, "weight": 1.5, "opacity": 0.6}
    return {"color": "#8f887a", "weight": 1.5, "opacity": 0.8}


def as_page(made: "folium.Map", title: str, note_html: str) -> str:
    """Return the map as one HTML page; ``note_html`` (escaped by the caller) stands above it."""
    from branca.element import Element

    root: Any = made.get_root()
    root.header.add_child(Element(f"<title>{_escaped(title)}</title>"), name="title")
    root.header.add_child(Element(f"<style>{_leaflet_css()}</style>"), name="css")
    root.header.add_child(Element(f"<style>{PAGE_CSS}</style>"), name="page_css")
    plain = "L.Control.Attribution.prototype.options.prefix=false"  # data credits only
    script = f"<script>{_leaflet('leaflet.js').decode()};{plain}</script>"
    root.header.add_child(Element(script), name="js")
    root.html.add_child(Element(f'<section class="note">{note_html}</section>'), name="note")
    page = root.render()
    return str(page).replace("<html>", '<html lang="en">', 1)


PAGE_CSS = f"""
html, body {{ margin: 0; background: {PAPER}; color: {INK}; font: 16px/1.4 Georgia, serif; }}
.folium-map {{ position: relative; width: 100%; height: 70vh; background: {PAPER}; }}
.note {{ padding: 0 1rem 1rem; }}
.note table {{ border-collapse: collapse; }}
.note th, .note td {{ text-align: left; padding: .2rem .6rem .2rem 0;
  border-bottom: 1px solid {FAINT}; vertical-align: top; }}
.label {{ font: bold 13px Georgia, serif; color: {INK}; white-space: nowrap;
  text-shadow: 0 0 3px {PAPER}, 0 0 3px {PAPER}, 0 0 3px {PAPER}; }}
.leaflet-container {{ font: 14px/1.4 Georgia, serif; }}
"""


def _escaped(text: str) -> str:
    import html

    return html.escape(text)


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
