"""GeoPackage and Shapefile layers, read through GDAL some thousands of records at a time."""

import warnings
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import numpy as np
import shapely

from registry.errors import FileError
from registry.imports.limits import Limits
from registry.imports.sheet import KEY, REASON, Sheet

GEOPACKAGE_STARTS = b"SQLite format 3\0"
STYLES = "layer_styles"
"""The table in which a GeoPackage keeps how its layers are drawn; it is no layer."""
SHAPEFILE_STARTS = b"\x00\x00\x27\x0a"
COMPANIONS = {
    ".dbf": "its attributes are there; copy it beside the .shp",
    ".shx": "its index is there; copy it beside the .shp",
}


@dataclass(kw_only=True)
class LayerSource:
    """One opened layer."""

    path: Path
    name: str
    layer: str
    limits: Limits
    columns: tuple[str, ...] = ()
    crs: str = ""
    has_geometry: bool = True
    rows: int = 0
    notes: list[str] = field(default_factory=list)
    encoding: str | None = None

    def sheets(self) -> Iterator[Sheet]:
        """Yield the records, some thousands at a time."""
        step = self.limits.sheet_rows
        for start in range(0, max(1, self.rows), step):
            yield self._sheet(start, step)

    def rejects_ending(self) -> str:
        """Return ``.gpkg``: a shapefile cannot hold long names and reasons."""
        return ".gpkg"

    def rejects(self, path: Path) -> "LayerRejects":
        """Start a rejects file: a GeoPackage with the same layer."""
        return LayerRejects(path, self)

    def _sheet(self, start: int, step: int) -> Sheet:
        import pyogrio

        with _told(self):
            meta, _, wkb, data = pyogrio.raw.read(
                self.path,
                layer=self.layer,
                skip_features=start,
                max_features=step,
                encoding=self.encoding,
            )
        count = len(data[0]) if data else len(wkb) if wkb is not None else 0
        blobs: list[bytes | None] = list(wkb) if wkb is not None else [None] * count
        geometries = list(shapely.force_2d(shapely.from_wkb(blobs, on_invalid="ignore")))
        faults = {
            i: "the geometry cannot be read"
            for i, blob in enumerate(blobs)
            if blob is not None and geometries[i] is None
        }
        geometries = [None if one is None or one.is_empty else one for one in geometries]
        fields = [str(one) for one in meta["fields"]]
        return Sheet(
            numbers=list(range(start + 1, start + 1 + count)),
            columns={name: _texts(values) for name, values in zip(fields, data, strict=True)},
            raw=[(blobs[i], tuple(values[i] for values in data)) for i in range(count)],
            geometries=geometries if wkb is not None else None,
            faults=faults,
        )


class LayerRejects:
    """Rejected records, written as a GeoPackage when the import ends."""

    def __init__(self, path: Path, source: LayerSource) -> None:
        self._path, self._source = path, source
        self._rows: list[tuple[Any, tuple[Any, ...], str, str]] = []

    def add(self, raw: Any, reason: str, key: str) -> None:  # noqa: ANN401 - the source's own rows
        """Keep a record."""
        self._rows.append((raw[0], raw[1], reason, key))

    def close(self) -> None:
        """Write the file."""
        import pyogrio

        names = [one for one in self._source.columns if one not in (REASON, KEY)]
        places = [i for i, one in enumerate(self._source.columns) if one not in (REASON, KEY)]
        columns = [
            np.array([row[2] for row in self._rows], dtype=object),
            np.array([row[3] for row in self._rows], dtype=object),
            *(_column([row[1][i] for row in self._rows]) for i in places),
        ]
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            pyogrio.raw.write(
                self._path,
                geometry=np.array([row[0] for row in self._rows], dtype=object),
                field_data=columns,
                fields=np.array([REASON, KEY, *names], dtype=object),
                layer=self._source.layer,
                driver="GPKG",
                geometry_type="Unknown",
                crs=self._source.crs or None,
            )


def open_layer(
    path: Path,
    name: str,
    limits: Limits,
    *,
    layer: str | None = None,
    encoding: str | None = None,
) -> LayerSource:
    """Open one layer of a GeoPackage or a Shapefile.

    Raises
    ------
    FileError
        If it cannot be read, a part is missing, or it has several layers and none was chosen.
    """
    import pyogrio

    if path.suffix.lower() == ".shp":
        _require_companions(path, name)
    source = LayerSource(path=path, name=name, layer="", limits=limits, encoding=encoding)
    with _told(source):
        names = [str(one) for one in pyogrio.list_layers(path)[:, 0] if one != STYLES]
        source.layer = _chosen(names, layer, name)
        said = pyogrio.read_info(path, layer=source.layer, encoding=encoding)
    source.columns = tuple(str(one) for one in said["fields"])
    source.crs = said["crs"] or ""
    source.rows = int(said["features"])
    source.has_geometry = said["geometry_type"] is not None
    kind = "Shapefile" if path.suffix.lower() == ".shp" else "GeoPackage"
    source.notes.insert(0, f"Read as {kind}, layer {source.layer}: {source.rows:,} records.")
    if kind == "Shapefile" and not _beside(path, ".cpg") and encoding is None:
        source.notes.append(
            f"The file has no .cpg, so its text is read as {said.get('encoding') or 'ISO-8859-1'}; "
            "say --encoding if letters come out wrong."
        )
    return source


def _chosen(names: list[str], layer: str | None, name: str) -> str:
    if not names:
        raise FileError(f"{name} has no layer in it. Save the layer again.")
    if layer is None and len(names) > 1:
        raise FileError(f"{name} has several layers: {', '.join(names)}. Choose one with --layer.")
    if layer is not None and layer not in names:
        raise FileError(f"{name} has no layer {layer}. It has: {', '.join(names)}.")
    return layer or names[0]


def _require_companions(path: Path, name: str) -> None:
    for ending, where in COMPANIONS.items():
        if not _beside(path, ending):
            raise FileError(f"The {ending} of {name} is missing: {where}.")


def _beside(path: Path, ending: str) -> bool:
    return any(path.with_suffix(one).is_file() for one in (ending, ending.upper()))


class _told:  # noqa: N801 - reads as a statement where it is used
    """Turn GDAL's errors into ours, and what it warns of into notes of the source."""

    def __init__(self, source: LayerSource) -> None:
        self._source = source
        self._catch = warnings.catch_warnings(record=True)

    def __enter__(self) -> None:
        self._warned = self._catch.__enter__()
        warnings.simplefilter("always")

    def __exit__(self, kind: type[BaseException] | None, wrong: Any, trace: Any) -> None:  # noqa: ANN401
        from pyogrio.errors import DataSourceError, FeatureError, FieldError, GeometryError

        self._catch.__exit__(kind, wrong, trace)
        for one in self._warned or ():
            said = f"Of the file: {one.message}"
            if said not in self._source.notes:
                self._source.notes.append(said)
        ours = (DataSourceError, FeatureError, FieldError, GeometryError, UnicodeDecodeError)
        if kind is not None and issubclass(kind, ours):
            reason = str(wrong).replace(str(self._source.path), self._source.name)
            if "not recognized" in reason:
                reason = "it is damaged, or there is no layer in it. Save it again"
            raise FileError(
                f"{self._source.name} cannot be read: {reason.splitlines()[0].rstrip('.')}."
            ) from wrong


def _texts(values: Any) -> list[str]:  # noqa: ANN401 - a numpy array of any type
    """Return a layer's column as cells' text."""
    kind = values.dtype.kind
    if kind == "b":
        return ["yes" if one else "no" for one in values.tolist()]
    if kind in "iu":
        return [str(one) for one in values.tolist()]
    if kind == "f":
        return [_number(one) for one in values.tolist()]
    if kind == "M":
        return ["" if np.isnat(one) else _moment(str(one)) for one in values]
    return ["" if one is None else str(one) for one in values.tolist()]


def _number(value: float) -> str:
    if value != value:  # noqa: PLR0124 - not a number: GDAL's null in a column of numbers
        return ""
    if value.is_integer() and abs(value) < 1e15:
        return str(int(value))
    return repr(value)


def _moment(text: str) -> str:
    """Return a moment without a time of day that is midnight, as a date."""
    day, _, time = text.partition("T")
    return day if not time.strip("0:.") else text


def _column(values: list[Any]) -> Any:  # noqa: ANN401 - a numpy array of any type
    """Return values as an array of one type, as the writer needs it."""
    kinds = {type(one) for one in values if one is not None}
    if len(kinds) == 1 and issubclass(next(iter(kinds)), np.generic) and None not in values:
        return np.array(values)
    return np.array([None if one is None else str(one) for one in values], dtype=object)
