"""Where the sites of a sheet are, and what is wrong with positions that cannot be right."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from statistics import median
from typing import Any

from registry.errors import FileError
from registry.imports.cells import Fault
from registry.imports.crs import WGS84, Crs, crs_named, lon_lat
from registry.imports.rows import Rows
from registry.records.places import Box, LonLat

OUTSIDE_AREA_DEG = 1.0
"""How far outside the area that its system is made for a position may lie; our estimate."""
SOUTHERNMOST_DEG = -60.0
"""No onsite system is serviced south of this; a latitude below is a longitude."""
SURELY_PROJECTED = 1000.0
NEAR_DEG, FAR_DEG, APART_DEG = 2.0, 10.0, 20.0
"""When a position is taken as swapped by comparison with the rest of the file; our estimates."""

_SWAPPED = Fault(
    "longitude and latitude are swapped", "Swap the two, in the file or in the column map"
)


@dataclass(kw_only=True)
class Positions:
    """Places the rows of one file.

    ``crs`` is what the user or the map says, else what the file says, "" where nobody says
    anything: then numbers that look like degrees are taken as WGS 84, and others are asked about.
    ``boxes`` are the boxes of jurisdictions by name, ``box`` the one for rows that name none.
    """

    file_name: str
    crs: str = ""
    box: Box | None = None
    boxes: Mapping[str, Box] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)
    _system: Crs | None = field(init=False, default=None)
    _middle: LonLat | None = field(init=False, default=None)

    def place(self, rows: Rows) -> tuple[list[float | None], list[float | None]]:
        """Return longitudes and latitudes, None where a row has no position.

        A position that is there and wrong becomes a fault of its row.

        Raises
        ------
        FileError
            If the numbers are not degrees and nobody says what they are.
        """
        columns, x, y = self._given(rows)
        there = [i for i in range(len(x)) if not (math.isnan(x[i]) or math.isnan(y[i]))]
        if not there:
            return [None] * len(x), [None] * len(x)
        system = self._system_for(x, y, there)
        lon: list[float | None] = [None] * len(x)
        lat: list[float | None] = [None] * len(x)
        good = [i for i in there if not self._wrong_numbers(rows, i, columns, x[i], y[i], system)]
        out_x, out_y = lon_lat([x[i] for i in good], [y[i] for i in good], system)
        placed = [LonLat(*one) for one in zip(out_x, out_y, strict=True)]
        self._middle = self._middle or _middle(placed)
        jurisdictions = rows.values.get("jurisdiction")
        for i, place in zip(good, placed, strict=True):
            named = jurisdictions[i] if jurisdictions else ""
            box = self.boxes.get(named) if named else self.box
            fault = self._wrong_place(place, box, system)
            if fault:
                rows.fault(i, columns, fault)
            else:
                lon[i], lat[i] = place
        return lon, lat

    def _given(self, rows: Rows) -> tuple[str, list[float], list[float]]:
        """Return the name of the position's columns and the numbers, NaN for none."""
        if "lon" in rows.values:
            return self._of_columns(rows, rows.values["lon"], rows.values["lat"])
        x: list[float] = []
        y: list[float] = []
        for i, geometry in enumerate(rows.sheet.geometries or [None] * len(rows.sheet)):
            point = _point(geometry)
            if isinstance(point, Fault):
                rows.fault(i, "geometry", point)
                point = None
            x.append(point[0] if point else math.nan)
            y.append(point[1] if point else math.nan)
        for i, wrong in rows.sheet.faults.items():
            rows.fault(i, "geometry", Fault(wrong, "Draw the point again"))
        return "geometry", x, y

    @staticmethod
    def _of_columns(
        rows: Rows, lon: Sequence[float | None], lat: Sequence[float | None]
    ) -> tuple[str, list[float], list[float]]:
        x = [math.nan if one is None else one for one in lon]
        y = [math.nan if one is None else one for one in lat]
        for i in range(len(x)):
            if (lon[i] is None) != (lat[i] is None):
                if i not in rows.faults:
                    rows.fault(i, "lon, lat", Fault("half of the position is missing", "Give both"))
                x[i] = math.nan
            elif x[i] == 0.0 == y[i]:
                x[i] = math.nan  # 0, 0 stands for "nowhere" in many a database
        return "lon, lat", x, y

    def _system_for(self, x: list[float], y: list[float], there: list[int]) -> Crs:
        if self._system is not None:
            return self._system
        if self.crs:
            self._system = crs_named(self.crs)
            if self._system.text != WGS84:
                self.notes.append(f"Positions are in {self._system.name}.")
            return self._system
        beyond = sum(not (abs(x[i]) <= 180 and abs(y[i]) <= 180) for i in there)
        if 2 * beyond > len(there):
            raise FileError(
                f"{self.file_name} does not say in which coordinate system its positions are, and "
                f"they are no degrees (for example {x[there[0]]:g}, {y[there[0]]:g}). "
                "Say it, for example --crs EPSG:2913."
            )
        self._system = crs_named(WGS84)
        self.notes.append(
            "The file does not name its coordinate system; its numbers look like degrees and are "
            "read as longitude and latitude on WGS 84 (EPSG:4326)."
        )
        return self._system

    def _wrong_numbers(
        self, rows: Rows, row: int, columns: str, x: float, y: float, system: Crs
    ) -> bool:
        if not system.is_degrees or (abs(x) <= 180 and SOUTHERNMOST_DEG <= y <= 90):
            return False
        if max(abs(x), abs(y)) > SURELY_PROJECTED:
            fault = Fault(
                f"{x:g}, {y:g} are no degrees, though {system.name} says so",
                "Say the right system with --crs",
            )
        elif abs(x) <= 90 and abs(y) <= 180:
            fault = _SWAPPED
        else:
            fault = Fault(f"{x:g}, {y:g} is no longitude and latitude", "Correct the position")
        rows.fault(row, columns, fault)
        return True

    def _wrong_place(self, place: LonLat, box: Box | None, system: Crs) -> Fault | None:
        if math.isnan(place.lon) or math.isnan(place.lat):
            return Fault(f"the position does not exist in {system.name}", "Correct it or --crs")
        if box is not None and not box.holds(place):
            return _outside(place, box)
        if system.area is not None and not _inside(place, system.area):
            return Fault(
                f"{_said(place)} is outside the area that {system.name} is made for",
                "Correct the position, or say the right system with --crs",
            )
        middle = self._middle
        if box is None and middle is not None and _is_swapped(place, middle):
            return _SWAPPED
        return None


def _outside(place: LonLat, box: Box) -> Fault:
    if box.holds(LonLat(place.lat, place.lon)):
        return _SWAPPED
    if box.holds(LonLat(-place.lon, place.lat)):
        return Fault("the longitude lacks its minus sign", "Write west as negative")
    return Fault(
        f"{_said(place)} is outside the jurisdiction's box "
        f"({box.west:g}, {box.south:g} to {box.east:g}, {box.north:g})",
        "Correct the position, --crs or the jurisdiction",
    )


def _point(geometry: Any) -> tuple[float, float] | Fault | None:  # noqa: ANN401 - shapely
    """Return the position of a site's geometry; a multipoint of one point is that point."""
    if geometry is None:
        return None
    if geometry.geom_type == "MultiPoint" and len(geometry.geoms) == 1:
        geometry = geometry.geoms[0]
    if geometry.geom_type != "Point":
        return Fault(
            f"the geometry is a {geometry.geom_type}, and a site is one point",
            "Give points, for example inner points of the parcels",
        )
    return geometry.x, geometry.y


def _middle(places: Sequence[LonLat]) -> LonLat | None:
    """Return the median position of a file, None where it says too little."""
    known = [one for one in places if not math.isnan(one.lon)]
    if len(known) < 5:
        return None
    middle = LonLat(median(one.lon for one in known), median(one.lat for one in known))
    return middle if abs(middle.lon - middle.lat) > APART_DEG else None


def _is_swapped(place: LonLat, middle: LonLat) -> bool:
    return (
        abs(place.lon - middle.lat) < NEAR_DEG
        and abs(place.lat - middle.lon) < NEAR_DEG
        and abs(place.lon - middle.lon) > FAR_DEG
    )


def _inside(place: LonLat, area: tuple[float, float, float, float]) -> bool:
    west, south, east, north = area
    if not south - OUTSIDE_AREA_DEG <= place.lat <= north + OUTSIDE_AREA_DEG:
        return False
    if west <= east:
        return west - OUTSIDE_AREA_DEG <= place.lon <= east + OUTSIDE_AREA_DEG
    return place.lon >= west - OUTSIDE_AREA_DEG or place.lon <= east + OUTSIDE_AREA_DEG


def _said(place: LonLat) -> str:
    return f"{place.lon:.5f}, {place.lat:.5f}"
