"""Files for tests of the importers: plain functions that write them."""

import json
import zipfile
from pathlib import Path
from typing import Any

from registry.imports.opening import Reading, opened
from registry.imports.sheet import Sheet


def csv(folder: Path, text: str, name: str = "sites.csv", encoding: str = "utf-8") -> Path:
    """A text file."""
    path = folder / name
    path.write_bytes(text.encode(encoding))
    return path


def geojson(folder: Path, *features: Any, name: str = "sites.geojson", **members: Any) -> Path:
    """A feature collection."""
    path = folder / name
    path.write_text(json.dumps({"type": "FeatureCollection", "features": list(features)} | members))
    return path


def feature(geometry: Any, **properties: Any) -> dict[str, Any]:
    """A feature; a pair of numbers is a point."""
    if isinstance(geometry, tuple):
        geometry = {"type": "Point", "coordinates": list(geometry)}
    return {"type": "Feature", "properties": properties, "geometry": geometry}


def zipped(folder: Path, name: str = "sites.zip", **entries: bytes) -> Path:
    """A zip; double underscores in the names of entries are points."""
    path = folder / name
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for inside, content in entries.items():
            archive.writestr(inside.replace("__", "."), content)
    return path


def layer(
    path: Path,
    points: list[tuple[float, float] | None],
    *,
    crs: str | None = "EPSG:4326",
    **columns: Any,
) -> Path:
    """A GeoPackage or Shapefile of points."""
    import numpy as np
    import pyogrio
    import shapely

    shapes = [None if one is None else shapely.Point(one) for one in points]
    wkb = np.array([None if one is None else shapely.to_wkb(one) for one in shapes], dtype=object)
    pyogrio.raw.write(
        path,
        geometry=wkb,
        field_data=[np.array(values) for values in columns.values()],
        fields=np.array(list(columns), dtype=object),
        geometry_type="Point",
        crs=crs,
    )
    return path


def read(path: Path, how: Reading | None = None) -> tuple[list[Sheet], list[str]]:
    """The sheets of a file, and what was noted of it."""
    with opened(path, how) as source:
        return list(source.sheets()), source.notes
