"""Records of a layer of parcels or address points as places that sites are located by."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from registry.errors import FileError
from registry.imports.addresses import require_addresses, taken_apart
from registry.imports.cells import Fault
from registry.imports.column_map import ColumnMap
from registry.imports.fields import PLACES
from registry.imports.parcel_numbers import code, loose_code
from registry.imports.rows import RowReader, Rows
from registry.imports.shapes import POINTS, POLYGONS, Shapes
from registry.imports.sheet import Sheet, Source
from registry.records.geodesy import metres_per_degree
from registry.records.known_places import KnownPlace, PlaceKind
from registry.records.places import LonLat


@dataclass(slots=True, kw_only=True)
class PlaceRows:
    """The places of one sheet; a record with a number and an address is one of each kind."""

    rows: Rows
    places: list[KnownPlace] = field(default_factory=list)
    taken: int = 0
    rejected: dict[int, str] = field(default_factory=dict)


@dataclass
class PlaceReader:
    """Reads sheet after sheet of a layer of parcels or address points.

    ``accuracy_m`` is what the user says of points; a polygon's place is as exact as the farthest
    of its corners is away.
    """

    source: Source
    map: ColumnMap
    crs: str = ""
    accuracy_m: float | None = None
    notes: list[str] = field(default_factory=list)
    _reader: RowReader = field(init=False)
    _shapes: Shapes = field(init=False)

    def __post_init__(self) -> None:
        """Check that there is something to locate by.

        Raises
        ------
        FileError
            If the layer has no geometry, or neither parcel numbers nor addresses.
        ConfigError
            If addresses are to be read and their libraries are not installed.
        """
        if not self.source.has_geometry:
            raise FileError(f"{self.source.name} is a table without geometry, no layer of places.")
        named = set(self.map.columns)
        if not named & {"parcel", "address"}:
            raise FileError(
                f"No column of {self.source.name} is surely a parcel number or an address. Name it "
                f"in a column map (--map). Columns: {', '.join(self.source.columns)}."
            )
        if "address" in named:
            require_addresses()
        self._reader = RowReader(self.source.name, PLACES, self.map)
        self._shapes = Shapes(
            self.source.name, POINTS | POLYGONS, self.crs or self.source.crs, self.notes
        )

    def read(self, sheet: Sheet) -> PlaceRows:
        """Return the places of a sheet; a record that names nothing is rejected."""
        rows = self._reader.read(sheet)
        found = PlaceRows(rows=rows)
        shapes = self._shapes.in_degrees(sheet, rows)
        empty = [""] * len(sheet)
        numbers, addresses, towns = (
            rows.values.get(name, empty) for name in ("parcel", "address", "town")
        )
        for i, shape in enumerate(shapes):
            if i not in rows.faults and not (code(numbers[i]) or addresses[i]):
                wrong = "it has neither a parcel number nor an address"
                rows.fault(i, "", Fault(wrong, "Leave it out"))
            if i in rows.faults:
                continue
            place, accuracy_m = place_in(shape)
            told = {
                "town": towns[i],
                "place": place,
                "accuracy_m": self.accuracy_m if accuracy_m is None else accuracy_m,
                "source": self.source.name,
            }
            found.taken += 1
            found.places += _places(numbers[i], addresses[i], told)
        found.rejected = dict.fromkeys(rows.faults, "")
        return found


def place_in(shape: Any) -> tuple[LonLat, float | None]:  # noqa: ANN401 - shapely
    """Return a place surely inside a shape, and how far away its farthest corner is, in metres.

    A point is its own place, as exact as nobody says: None.
    """
    if shape.geom_type == "Point":
        return LonLat(shape.x, shape.y), None
    inside = shape.representative_point()
    east_m, north_m = metres_per_degree(inside.y)
    x_y = shapely.get_coordinates(shape)
    apart_m = np.hypot((x_y[:, 0] - inside.x) * east_m, (x_y[:, 1] - inside.y) * north_m).max()
    return LonLat(inside.x, inside.y), round(float(apart_m), 1)


def _places(number: str, address: str, told: dict[str, Any]) -> list[KnownPlace]:
    found = []
    if code(number):
        found.append(
            KnownPlace(
                kind=PlaceKind.PARCEL,
                code=code(number),
                loose=loose_code(number),
                said=number,
                **told,
            )
        )
    house = taken_apart(address).number if address else ""
    if house:
        found.append(KnownPlace(kind=PlaceKind.ADDRESS, code=house, said=address, **told))
    return found
