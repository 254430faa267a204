"""Rows with places as a zipped Shapefile, written by GDAL, with a list of its short field names.

A Shapefile's field names end at 10 signs and its texts at 254 bytes (ESRI Shapefile Technical
Description, July 1998, and the dBASE format that it names for attributes; from memory, and so GDAL
writes it).
"""

import io
import zipfile
from collections.abc import Mapping, Sequence
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

from registry.records.places import LonLat

NAME_SIGNS, TEXT_BYTES = 10, 254


def short_names(columns: Sequence[str]) -> dict[str, str]:
    """Return for each column the name that a Shapefile has room for; no two are the same."""
    found: dict[str, str] = {}
    for name in columns:
        short, number = name[:NAME_SIGNS], 2
        while short in found.values():
            short = f"{name[: NAME_SIGNS - 1 - len(str(number))]}_{number}"
            number += 1
        found[name] = short
    return found


def cut_texts(
    columns: Sequence[str], rows: Sequence[Mapping[str, Any]], named_by: str
) -> list[str]:
    """Return, in words, the texts for which a Shapefile has no room."""
    return [
        f"{name} of {row.get(named_by, '')} is cut at {TEXT_BYTES} bytes"
        for row in rows
        for name in columns
        if isinstance(row.get(name), str) and len(row[name].encode()) > TEXT_BYTES
    ]


def shapefile_zip(
    layer: str,
    columns: Sequence[str],
    rows: Sequence[tuple[LonLat | None, Mapping[str, Any]]],
    extra: Mapping[str, str],
) -> bytes:
    """Return one layer of points in EPSG:4326, zipped with further text files.

    A text that is too long is cut at a letter's end: ``cut_texts`` names it.
    """
    import geopandas
    import pandas
    import shapely

    names = short_names(columns)
    shapes = [None if place is None else shapely.Point(place.lon, place.lat) for place, _ in rows]
    table = pandas.DataFrame(
        [{names[name]: _fitting(told.get(name)) for name in columns} for _, told in rows],
        columns=list(names.values()),
    )
    frame = geopandas.GeoDataFrame(
        table, geometry=geopandas.GeoSeries(shapes, crs="EPSG:4326", index=table.index)
    )
    out = io.BytesIO()
    with TemporaryDirectory() as folder:
        frame.to_file(
            Path(folder) / f"{layer}.shp",
            driver="ESRI Shapefile",
            engine="pyogrio",
            geometry_type="Point",
            encoding="UTF-8",
        )
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for part in sorted(Path(folder).iterdir()):
                archive.write(part, part.name)
            for name, text in extra.items():
                archive.writestr(name, text)
    return out.getvalue()


def _fitting(value: Any) -> Any:  # noqa: ANN401 - a value of any column
    if isinstance(value, str):
        return value.encode()[:TEXT_BYTES].decode(errors="ignore")
    return value
