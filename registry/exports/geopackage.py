"""Rows with places as a GeoPackage (OGC 12-128), written by GDAL."""

from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from registry.exports.layer_styles import style_row
from registry.records.places import LonLat


def geopackage(
    layer: str, columns: Sequence[str], rows: Sequence[tuple[LonLat | None, Mapping[str, Any]]]
) -> bytes:
    """Return one layer of points in EPSG:4326, with its style; null geometries for no place."""
    import geopandas
    import pandas
    import pyogrio
    import shapely

    shapes = [None if place is None else shapely.Point(place.lon, place.lat) for place, _ in rows]
    table = pandas.DataFrame([dict(told) for _, told in rows], columns=list(columns))
    frame = geopandas.GeoDataFrame(
        table, geometry=geopandas.GeoSeries(shapes, crs="EPSG:4326", index=table.index)
    )
    with TemporaryDirectory() as folder:
        file = Path(folder) / "out.gpkg"
        frame.to_file(file, layer=layer, driver="GPKG", engine="pyogrio", geometry_type="Point")
        style = pandas.DataFrame([style_row(layer, columns)])
        pyogrio.write_dataframe(style, file, layer="layer_styles", driver="GPKG", append=True)
        return file.read_bytes()
