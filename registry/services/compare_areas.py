"""Sites against areas of a layer: how many lie in each, and whose written town is another."""

from collections import Counter
from dataclasses import dataclass
from pathlib import Path

import shapely

from registry.errors import FileError
from registry.imports.guess import simple
from registry.imports.opening import Reading, opened
from registry.imports.rows import Rows
from registry.imports.shapes import POLYGONS, Shapes
from registry.records.changes import Viewer
from registry.store import Session
from registry.store.scope import scope_of
from registry.store.site_places import PlacedSite, placed_sites


@dataclass(frozen=True, slots=True, kw_only=True)
class Differing:
    """A site whose written town is not the area that it lies in.

    ``written`` is "" where no town is written, ``lies_in`` outside all areas; ``is_spelling``
    tells names that differ only in case, spaces and signs.
    """

    site: str
    written: str
    lies_in: str
    is_spelling: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class AreasCompared:
    """What comparing found; every site is in exactly one of the areas, outside or unplaced.

    A site on the border of several areas counts in the first of them by name. ``unusable`` are
    areas that have no sound outline, by name.
    """

    per_area: dict[str, int]
    outside: tuple[str, ...]
    without_position: tuple[str, ...]
    differing: tuple[Differing, ...]
    unusable: tuple[str, ...]


def compare_areas(
    session: Session, viewer: Viewer, path: Path, name_column: str, how: Reading, crs: str = ""
) -> AreasCompared:
    """Compare the sites that a viewer sees with the polygons of a layer, by name.

    Raises
    ------
    FileError
        If the file cannot be used, or has no such column.
    """
    names, shapes, unusable = _areas(path, name_column, how, crs)
    found = placed_sites(session, scope_of(viewer))
    placed = [one for one in found if one.lon_lat is not None]
    holding = _holding(placed, names, shapes)
    outside, differing = [], []
    counts = Counter(dict.fromkeys(sorted({*names}), 0))
    for place, site in enumerate(placed):
        inside = holding.get(place, "")
        if inside:
            counts[inside] += 1
        else:
            outside.append(site.key)
        if site.town != inside or not inside:
            same = bool(site.town) and simple(site.town) == simple(inside)
            differing.append(
                Differing(site=site.key, written=site.town, lies_in=inside, is_spelling=same)
            )
    return AreasCompared(
        per_area=dict(counts),
        outside=tuple(outside),
        without_position=tuple(one.key for one in found if one.lon_lat is None),
        differing=tuple(differing),
        unusable=tuple(unusable),
    )


def _areas(
    path: Path, name_column: str, how: Reading, crs: str
) -> tuple[list[str], list[shapely.Geometry], list[str]]:
    names: list[str] = []
    shapes: list[shapely.Geometry] = []
    unusable: list[str] = []
    with opened(path, how) as source:
        if name_column not in source.columns:
            there = ", ".join(source.columns) or "none"
            raise FileError(f"{source.name} has no column {name_column}. Columns: {there}.")
        reader = Shapes(source.name, POLYGONS, crs or source.crs)
        for sheet in source.sheets():
            rows = Rows(file_name=source.name, sheet=sheet, values={})
            geometries = reader.in_degrees(sheet, rows)
            for i, (name, shape) in enumerate(
                zip(sheet.columns[name_column], geometries, strict=True)
            ):
                said = name.strip() or f"record {sheet.numbers[i]}"
                if i in rows.faults or not shape.is_valid:
                    unusable.append(said)
                else:
                    names.append(said)
                    shapes.append(shape)
    if not shapes:
        raise FileError(f"{path.name} holds no polygon that can be used.")
    return names, shapes, unusable


def _holding(
    placed: list[PlacedSite], names: list[str], shapes: list[shapely.Geometry]
) -> dict[int, str]:
    """Return by the place in a list the name of the area that holds the site, edges included."""
    points = [shapely.Point(one.lon_lat) for one in placed if one.lon_lat is not None]
    pairs = shapely.STRtree(shapes).query(points, predicate="intersects")
    found: dict[int, str] = {}
    for place, area in zip(*pairs.tolist(), strict=True):
        found[place] = min(found.get(place, names[area]), names[area])
    return found
