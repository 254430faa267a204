"""How the base map is drawn: paper, one water blue, roads in ink; no font and no tile from afar."""

from typing import Any

from registry.services.base_map import BaseMap
from web.draw.ink import FAINT, INK, PAPER, WATER

WOOD, ROAD = "#e9ebdd", "#8f887a"
"""Woodland, and roads: behind everything else, so they may be faint."""
GLYPHS = "ink://{fontstack}/{range}"
"""Letters are drawn by the page from the device's own fonts, see static/glyphs.js."""
FONT = ["label"]
LANES = ["service", "track"]
LARGEST_ZOOM = 14


def map_style(base: BaseMap | None, tiles: str) -> dict[str, Any]:
    """Return the style of the base map for the live map.

    Parameters
    ----------
    base
        The base map in use; without one the map is plain paper.
    tiles
        Address of a tile with ``{z}``, ``{x}`` and ``{y}``.
    """
    style: dict[str, Any] = {
        "version": 8,
        "glyphs": GLYPHS,
        "sources": {},
        "layers": [{"id": "paper", "type": "background", "paint": {"background-color": PAPER}}],
    }
    if base is None:
        return style
    box = base.box
    style["sources"]["base"] = {
        "type": "vector",
        "tiles": [tiles],
        "minzoom": 6,
        "maxzoom": LARGEST_ZOOM,
        "attribution": base.credit,
    }
    style["metadata"] = {"bounds": [box.west, box.south, box.east, box.north]}
    style["layers"] += [
        _area("landcover", WOOD, 0.8),
        _area("water", WATER, 0.22),
        _line("waterways", WATER, {"stops": [[8, 0.6], [14, 2.5]]}, opacity=0.55),
        _area("buildings", FAINT, 0.7),
        _line("roads_major", ROAD, {"stops": [[6, 0.6], [12, 2]]}),
        _line(
            "roads",
            ROAD,
            {"stops": [[12, 0.8], [16, 3]]},
            ident="lanes",
            only=["in", ["get", "kind"], ["literal", LANES]],
            dashes=[3, 2],
        ),
        _line(
            "roads",
            ROAD,
            {"stops": [[12, 1.3], [16, 5]]},
            only=["!", ["in", ["get", "kind"], ["literal", LANES]]],
        ),
        _names("roads", "line", 12, 13),
        _names("waterways", "line", 12, 11, colour=WATER),
        _names("places", "point", 14, 6),
    ]
    return style


def _area(layer: str, colour: str, opacity: float) -> dict[str, Any]:
    return {
        "id": layer,
        "type": "fill",
        "source": "base",
        "source-layer": layer,
        "paint": {"fill-color": colour, "fill-opacity": opacity},
    }


def _line(
    layer: str,
    colour: str,
    width: dict[str, Any],
    *,
    ident: str = "",
    only: list[Any] | None = None,
    dashes: list[float] | None = None,
    opacity: float = 0.9,
) -> dict[str, Any]:
    drawn: dict[str, Any] = {
        "id": ident or layer,
        "type": "line",
        "source": "base",
        "source-layer": layer,
        "layout": {"line-join": "round", "line-cap": "butt" if dashes else "round"},
        "paint": {"line-color": colour, "line-width": width, "line-opacity": opacity},
    }
    if only:
        drawn["filter"] = only
    if dashes:
        drawn["paint"]["line-dasharray"] = dashes
    return drawn


def _names(
    layer: str, along: str, size: float, first_zoom: float, *, colour: str = INK
) -> dict[str, Any]:
    return {
        "id": f"{layer}-names",
        "type": "symbol",
        "source": "base",
        "source-layer": layer,
        "minzoom": first_zoom,
        "filter": ["has", "name"],
        "layout": {
            "text-field": ["get", "name"],
            "text-font": FONT,
            "text-size": size,
            "symbol-placement": along,
        },
        "paint": {"text-color": colour, "text-halo-color": PAPER, "text-halo-width": 1.5},
    }
