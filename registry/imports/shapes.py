"""Geometries of a layer in degrees, and what is wrong with those that cannot be used."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from registry.errors import FileError
from registry.imports.cells import Fault
from registry.imports.crs import WGS84, Crs, crs_named, lon_lat
from registry.imports.rows import Rows
from registry.imports.sheet import Sheet

POINTS = frozenset({"Point"})
LINES = frozenset({"LineString", "MultiLineString"})
POLYGONS = frozenset({"Polygon", "MultiPolygon"})
_IN_WORDS = {POLYGONS: "polygon", LINES: "line", POINTS: "point"}


@dataclass
class Shapes:
    """Reads the geometries of one layer, sheet after sheet.

    ``kinds`` are the geometry types that are taken; ``said`` is the coordinate system that the
    user or the file states, "" for none. ``notes`` take what was found out.
    """

    file_name: str
    kinds: frozenset[str]
    said: str = ""
    notes: list[str] = field(default_factory=list)
    _system: Crs | None = field(init=False, default=None)

    def in_degrees(self, sheet: Sheet, rows: Rows) -> list[Any]:
        """Return geometries as longitude and latitude; what has none is a fault of its row.

        Raises
        ------
        FileError
            If the numbers are no degrees and nobody says what they are.
        """
        geometries = sheet.geometries or [None] * len(sheet)
        for i, geometry in enumerate(geometries):
            if i in sheet.faults:
                rows.fault(i, "geometry", Fault(sheet.faults[i], "Draw it again"))
            elif geometry is None:
                rows.fault(i, "geometry", Fault("there is no usable geometry", "Draw it again"))
            elif geometry.geom_type not in self.kinds:
                wrong = f"it is a {geometry.geom_type}, neither {self._wanted()}"
                rows.fault(i, "geometry", Fault(wrong, "Leave it out"))
        good = [i for i in range(len(geometries)) if i not in rows.faults]
        shapes = np.array([geometries[i] for i in good], dtype=object)
        if not len(shapes):
            return list(geometries)
        system = self._system_for(shapes)
        placed = _transformed(shapes, system)
        west, south, east, north = shapely.bounds(placed).T
        beyond = ~((west >= -180) & (east <= 180) & (south >= -90) & (north <= 90))
        found = list(geometries)
        for place, i in enumerate(good):
            found[i] = placed[place]
            if beyond[place]:
                wrong = f"its coordinates are no degrees, though {system.name} says so"
                rows.fault(i, "geometry", Fault(wrong, "Say the right system with --crs"))
        return found

    def _wanted(self) -> str:
        return " nor ".join(said for kinds, said in _IN_WORDS.items() if kinds <= self.kinds)

    def _system_for(self, shapes: Any) -> Crs:  # noqa: ANN401 - an array of geometries
        if self._system is None:
            west, south, east, north = shapely.total_bounds(shapes)
            is_far = not (west >= -180 and east <= 180 and south >= -90 and north <= 90)
            if not self.said and is_far:
                raise FileError(
                    f"{self.file_name} does not say in which coordinate system it is, and its "
                    f"numbers are no degrees (for example {west:g}, {south:g}). Say it, for "
                    "example --crs EPSG:2913."
                )
            if not self.said:
                self.notes.append(
                    "The file does not name its coordinate system; its numbers look like degrees "
                    "and are read as WGS 84 (EPSG:4326)."
                )
            self._system = crs_named(self.said or WGS84)
        return self._system


def _transformed(shapes: Any, system: Crs) -> Any:  # noqa: ANN401 - an array of geometries
    if system.text == WGS84:
        return shapes

    def places(x_y: Any) -> Any:  # noqa: ANN401 - an array of coordinates
        lon, lat = lon_lat(x_y[:, 0].tolist(), x_y[:, 1].tolist(), system)
        return np.column_stack([lon, lat])

    return shapely.transform(shapes, places)
