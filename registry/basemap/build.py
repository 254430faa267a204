"""Drawing the base map of an OpenStreetMap file: one file of vector tiles for each theme."""

import os
import tempfile
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from registry.basemap.simplified import write_simplified
from registry.basemap.themes import THEMES, Theme
from registry.errors import FileError

if TYPE_CHECKING:
    from geopandas import GeoDataFrame

READ_AS_THEY_ARE = (".osm.pbf", ".pbf", ".osm")
"""What GDAL's driver reads; compressed XML is unpacked first."""


def build_basemap(
    source: Path, folder: Path, progress: Callable[[str, float], None]
) -> tuple[str, ...]:
    """Draw the base map and return the names of its themes; a theme without features is left out.

    Parameters
    ----------
    source
        OpenStreetMap file: .osm.pbf, .osm, .osm.gz, .osm.bz2.
    folder
        The base map's folder, which must not exist yet; gone again if drawing fails.
    progress
        Told what goes on, and the share that is done (0 to 1).

    Raises
    ------
    FileError
        If the file cannot be read or the tiles cannot be written.
    """
    from pyogrio.errors import DataLayerError, DataSourceError, FeatureError

    with (
        tempfile.TemporaryDirectory(dir=folder.parent, prefix="map-") as scratch,
        _plain_reading(Path(scratch)),
    ):
        drawn = Path(scratch) / "drawn"
        drawn.mkdir()
        try:
            readable = _readable(source, Path(scratch))
            themes = tuple(_draw(readable, drawn, progress))
        except (DataSourceError, DataLayerError, FeatureError, RuntimeError) as wrong:
            raise FileError(f"{source.name} cannot be drawn ({wrong}).") from wrong
        drawn.rename(folder)
    return themes


def _draw(source: Path, folder: Path, progress: Callable[[str, float], None]) -> Iterator[str]:
    kept: dict[str, GeoDataFrame] = {}
    for number, theme in enumerate(THEMES):
        progress(f"Base map: {theme.name.replace('_', ' ')}", number / (len(THEMES) + 1))
        features = read_theme(source, theme)
        if len(features):
            write_theme(features, theme, folder)
            if theme.name in {"roads", "waterways", "water"}:
                kept[theme.name] = features
            yield theme.name
    progress("Base map: the small one for exports", len(THEMES) / (len(THEMES) + 1))
    write_simplified(kept, folder)


def read_theme(source: Path, theme: Theme) -> "GeoDataFrame":
    """Return a theme's features with the columns ``kind`` and, where it has names, ``name``."""
    import pyogrio

    columns = [*theme.columns, *(["name"] if theme.named else [])]
    features: Any = pyogrio.read_dataframe(
        source, layer=theme.layer, columns=columns, where=theme.where
    )
    if theme.kinds:
        kinds = [features[column].map(theme.kinds.get) for column in theme.columns[:2]]
        kind = kinds[0]
        for other in kinds[1:]:
            kind = kind.fillna(other)
        if "other_tags" in theme.columns:  # a river's bank, which has no column of its own
            kind = kind.fillna(theme.name)
    else:
        kind = features[theme.columns[0]]
    if theme.name == "buildings":
        kind = kind.map(lambda _: "building")  # the map does not tell its use
    features["kind"] = kind
    wanted = features["kind"].notna() & ~features.geometry.is_empty & features.geometry.notna()
    chosen: GeoDataFrame = features.loc[
        wanted, ["kind", *(["name"] if theme.named else []), "geometry"]
    ]
    return chosen


def write_theme(features: "GeoDataFrame", theme: Theme, folder: Path) -> None:
    """Write a theme's tiles to ``<folder>/<theme>.pmtiles``."""
    import pyogrio

    least, most = theme.zooms
    pyogrio.write_dataframe(
        features,
        folder / f"{theme.name}.pmtiles",
        layer=theme.name,
        driver="PMTiles",
        dataset_options={"MINZOOM": least, "MAXZOOM": most},
    )


def _readable(source: Path, scratch: Path) -> Path:
    """Return the file itself, or an unpacked copy where the driver doesn't read its compression."""
    if source.name.lower().endswith(READ_AS_THEY_ARE):
        return source
    import osmium

    unpacked = scratch / "unpacked.osm.pbf"
    with osmium.SimpleWriter(str(unpacked)) as writer:
        osmium.apply(str(source), writer)
    return unpacked


@contextmanager
def _plain_reading(scratch: Path) -> Iterator[None]:
    """Let GDAL take node ids of any sign, put scratch files here, and keep its remarks quiet."""
    import pyogrio

    before = {
        name: pyogrio.get_gdal_config_option(name)
        for name in ("OSM_USE_CUSTOM_INDEXING", "CPL_TMPDIR")
    }
    pyogrio.set_gdal_config_options(
        {"OSM_USE_CUSTOM_INDEXING": "NO", "CPL_TMPDIR": os.fspath(scratch)}
    )
    try:
        with warnings.catch_warnings():
            warnings.filterwarnings("ignore", category=RuntimeWarning, module="pyogrio")
            yield
    finally:
        pyogrio.set_gdal_config_options(before)
