"""A base map small enough to lie inside an exported file: roads and water, simplified."""

import json
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from registry.basemap.revisions import current_folder
from registry.basemap.themes import LANES, MAJOR_ROADS

if TYPE_CHECKING:
    from geopandas import GeoDataFrame, GeoSeries

FILE = "simplified.geojson"
MOST_BYTES = 200_000
"""Room for the base in an exported map of at most 400 kB."""
TOLERANCES_M = (5.0, 10.0, 20.0, 40.0, 80.0, 160.0)
"""How far a simplified line may leave the true one, tried in this order until it fits."""
DIGITS = 5
"""A metre."""


def simplified_roads_geojson(folder: Path) -> dict[str, Any] | None:
    """Return roads and water of the network in use as GeoJSON, None where there are none.

    Features have the property ``kind``: ``road``, ``waterway`` or ``water``; at most 200 kB.

    Parameters
    ----------
    folder
        The folder of all road networks.
    """
    here = current_folder(folder)
    path = here / "basemap" / FILE if here else None
    if path is None or not path.is_file():
        return None
    kept: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return kept


def write_simplified(themes: Mapping[str, "GeoDataFrame"], folder: Path) -> None:
    """Write the finest simplified base that fits into 200 kB.

    Parameters
    ----------
    themes
        Features of the themes ``roads``, ``waterways`` and ``water``, as far as there are any.
    folder
        The base map's folder.
    """
    tried = _ever_coarser(themes)
    text = next((one for one in tried if len(one) <= MOST_BYTES), None)
    if text is None:
        return  # a whole country in every detail; an export then has no base
    (folder / FILE).write_text(text, encoding="utf-8")


def _ever_coarser(themes: Mapping[str, "GeoDataFrame"]) -> Iterator[str]:
    plane = {
        name: features.geometry.to_crs(features.estimate_utm_crs())
        for name, features in themes.items()
    }
    major = dict(plane)
    if "roads" in themes:
        kind = themes["roads"]["kind"]
        major["roads"] = plane["roads"][kind.isin(MAJOR_ROADS)]
        plane["roads"] = plane["roads"][~kind.isin(LANES)]
    for chosen in (plane, major):
        for tolerance_m in TOLERANCES_M:
            yield _geojson(chosen, tolerance_m)
    for most in (4_000, 2_000, 1_000, 500, 200, 100):
        yield _geojson(major, TOLERANCES_M[-1], most)


def _geojson(plane: Mapping[str, "GeoSeries"], tolerance_m: float, most: int | None = None) -> str:
    """Return a feature for each kind; ``most`` keeps so many of its longest or largest parts."""
    kinds = {"roads": "road", "waterways": "waterway", "water": "water"}
    features = [
        {
            "type": "Feature",
            "properties": {"kind": kinds[name]},
            "geometry": _simplified(shapes, tolerance_m, most),
        }
        for name, shapes in plane.items()
        if len(shapes)
    ]
    document = {"type": "FeatureCollection", "features": features}
    return json.dumps(document, separators=(",", ":"))


def _simplified(shapes: "GeoSeries", tolerance_m: float, most: int | None) -> dict[str, Any]:
    import geopandas
    import shapely

    parts = shapely.get_parts(shapes.to_numpy())
    lines = shapely.get_dimensions(parts[0]) == 1
    if lines:
        parts = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(parts)))
        size = shapely.length(parts)
    else:
        size = shapely.area(parts)
        parts, size = parts[size > tolerance_m**2], size[size > tolerance_m**2]
    if most is not None:
        parts = parts[size.argsort()[::-1][:most]]
    rough = shapely.simplify(parts, tolerance_m)
    degrees = geopandas.GeoSeries(rough, crs=shapes.crs).to_crs("EPSG:4326")
    pieces = [piece for piece in degrees if not piece.is_empty]
    whole = shapely.multilinestrings(pieces) if lines else shapely.multipolygons(pieces)
    joined = shapely.set_precision(whole, 10**-DIGITS, mode="pointwise")
    document: dict[str, Any] = json.loads(shapely.to_geojson(joined))
    return document
