"""Opening an input file, whatever of the known formats it is in."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from registry.errors import FileError
from registry.imports.archive import unpacked
from registry.imports.csv_file import open_csv
from registry.imports.geojson_file import open_geojson
from registry.imports.layer_file import GEOPACKAGE_STARTS, SHAPEFILE_STARTS, open_layer
from registry.imports.limits import Limits
from registry.imports.sheet import Source

TAKEN = "CSV, GeoJSON, GeoPackage or Shapefile, each also zipped"
TABLES = {".csv", ".txt", ".tsv"}
GEOJSON = {".geojson", ".json"}
LAYERS = {".gpkg", ".shp"}
ZIP_STARTS = b"PK\x03\x04"


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """How to read a file, where the file itself leaves it open."""

    layer: str | None = None
    encoding: str | None = None
    delimiter: str | None = None
    limits: Limits = field(default_factory=Limits)


@contextmanager
def opened(path: Path, how: Reading | None = None) -> Iterator[Source]:
    """Open an input file by its content and ending, and yield it; a zip is unpacked meanwhile.

    Raises
    ------
    FileError
        If there is no such file, or it is not of a known format, too large or damaged.
    """
    how = how or Reading()
    try:
        if not path.is_file():
            raise FileError(f"There is no file {path}.")
        if path.stat().st_size > how.limits.file_bytes:
            raise FileError(
                f"{path.name} is larger than {how.limits.file_bytes / 1e6:.0f} MB. Split it."
            )
        if path.suffix.lower() == ".zip":
            with unpacked(path, how.limits) as folder:
                inner, layer = _in_zip(path, folder, how.layer)
                yield _source(inner, f"{path.name}: {inner.name}", how, layer)
        else:
            yield _source(path, path.name, how, how.layer)
    except PermissionError as wrong:
        raise FileError(f"{path.name} may not be read by you. Change its permissions.") from wrong


def _source(path: Path, name: str, how: Reading, layer: str | None) -> Source:
    kind = path.suffix.lower()
    with path.open("rb") as file:
        start = file.read(64)
    if not start:
        raise FileError(f"{name} is empty.")
    if kind in GEOJSON:
        return open_geojson(path, name, how.limits)
    if kind in LAYERS:
        wanted = GEOPACKAGE_STARTS if kind == ".gpkg" else SHAPEFILE_STARTS
        if not start.startswith(wanted):
            raise FileError(
                f"{name} is named {kind} and does not begin like one: it is damaged or of another "
                "format. Save it again."
            )
        return open_layer(path, name, how.limits, layer=layer, encoding=how.encoding)
    if kind in TABLES:
        if start.startswith((ZIP_STARTS, GEOPACKAGE_STARTS)):
            raise FileError(f"{name} is no text, for all its ending. Save it as CSV.")
        return open_csv(path, name, how.limits, encoding=how.encoding, delimiter=how.delimiter)
    hint = {
        ".xlsx": "Save the sheet as CSV.",
        ".xls": "Save the sheet as CSV.",
        ".ods": "Save the sheet as CSV.",
        ".dbf": "Name the .shp beside it.",
        ".shx": "Name the .shp beside it.",
        ".prj": "Name the .shp beside it.",
        ".gdb": "Save the layer as GeoPackage.",
        ".kml": "Save the layer as GeoPackage.",
    }.get(kind, "Save it as one of these, with the ending that tells.")
    raise FileError(f"{name} is not of a kind that is read here ({TAKEN}). {hint}")


def _in_zip(path: Path, folder: Path, layer: str | None) -> tuple[Path, str | None]:
    """Return the one file of a zip to read; of several, the one that ``layer`` names."""
    there = sorted(
        one for one in folder.iterdir() if one.suffix.lower() in TABLES | GEOJSON | LAYERS
    )
    if not there:
        raise FileError(f"{path.name} holds no file that is read here ({TAKEN}).")
    if len(there) == 1:
        return there[0], layer if there[0].suffix.lower() == ".gpkg" else None
    named = [one for one in there if layer in {one.stem, one.name}]
    if len(named) != 1:
        raise FileError(
            f"{path.name} holds several files: {', '.join(one.name for one in there)}. "
            "Choose one with --layer and its name."
        )
    return named[0], None
