"""Records of a flood layer as flood hazard areas and base flood elevation lines."""

import hashlib
import json
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

import shapely

from registry.errors import FileError, RangeError
from registry.flood.nfhl import bfe_line, flood_area, text_value
from registry.flood.zones import ZoneClass, zone_class
from registry.imports.cells import Fault
from registry.imports.rows import Rows
from registry.imports.shapes import LINES, POLYGONS, Shapes
from registry.imports.sheet import KEY, REASON, Sheet, Source
from registry.records.elevation import UNKNOWN_DATUM
from registry.records.flood import BfeLine, FloodArea

AGREE_SHARE = 1e-6
"""How far two ways to repair a polygon may differ, as a share of its area; our estimate."""
KEY_ATTRIBUTES = ("FLD_AR_ID", "BFE_LN_ID")
SHOWN = 5


@dataclass(slots=True, kw_only=True)
class FloodRows:
    """What one sheet of a flood layer holds; ``rejected`` are row index → key."""

    rows: Rows
    areas: list[FloodArea] = field(default_factory=list)
    lines: list[BfeLine] = field(default_factory=list)
    line_attributes: list[dict[str, str]] = field(default_factory=list)
    rejected: dict[int, str] = field(default_factory=dict)


@dataclass
class FloodReader:
    """Reads sheet after sheet of one flood layer.

    ``zone`` is what the user says that polygons without a zone of their own are; ``crs`` what the
    user says of the coordinates. ``repaired`` are the records whose outline was mended.
    """

    source: Source
    zone: str = ""
    crs: str = ""
    notes: list[str] = field(default_factory=list)
    repaired: list[int] = field(default_factory=list)
    without_datum: int = 0
    _keys: Counter[str] = field(init=False, default_factory=Counter)
    _shapes: Shapes = field(init=False)
    _names: dict[str, str] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """Check what the user says.

        Raises
        ------
        FileError
            If the zone is none that is known.
        """
        self._names = {one.upper(): one for one in self.source.columns}
        self._shapes = Shapes(
            self.source.name, POLYGONS | LINES, self.crs or self.source.crs, self.notes
        )
        if self.zone and zone_class(self.zone) is ZoneClass.UNKNOWN:
            raise FileError(
                f"{self.zone} is no flood zone. Zones are A, AE, AH, AO, A99, V, VE, X, D and "
                "those of older maps."
            )

    def read(self, sheet: Sheet) -> FloodRows:
        """Return the areas and lines of a sheet.

        Raises
        ------
        FileError
            If polygons have no zone and nobody says one, lines no elevation, or the coordinate
            system is not known.
        """
        taken = FloodRows(rows=Rows(file_name=self.source.name, sheet=sheet, values={}))
        self._require_attributes(sheet)
        geometries = self._shapes.in_degrees(sheet, taken.rows)
        for i, geometry in enumerate(geometries):
            if i in taken.rows.faults:
                continue
            given = {
                name: cells[i] for name, cells in sheet.columns.items() if name not in (REASON, KEY)
            }
            try:
                self._take(taken, i, geometry, given)
            except RangeError as wrong:
                said, _, remedy = str(wrong).partition(": ")
                remedy = (remedy[:1].upper() + remedy[1:]) or "Correct it"
                taken.rows.fault(i, "", Fault(said, remedy))
        taken.rejected = dict.fromkeys(taken.rows.faults, "")
        return taken

    def warnings(self) -> list[str]:
        """Return what a person should know of the records that were taken."""
        said = []
        if self.repaired:
            shown = ", ".join(str(one) for one in self.repaired[:SHOWN])
            more = " …" if len(self.repaired) > SHOWN else ""
            said.append(
                f"{len(self.repaired):,} outlines crossed or touched themselves and are repaired, "
                f"where two ways to do so agree: records {shown}{more}."
            )
        if self.without_datum:
            said.append(
                f"{self.without_datum:,} elevations name no vertical datum (V_DATUM); they are "
                "kept and compared with nothing."
            )
        return said

    def _take(self, taken: FloodRows, i: int, geometry: Any, given: dict[str, str]) -> None:  # noqa: ANN401
        if geometry.geom_type in POLYGONS:
            outline = self._sound(taken.rows, i, geometry)
            if outline is None:
                return
            if self.zone and not text_value(self._of(given, "FLD_ZONE")):
                given = given | {self._names.get("FLD_ZONE", "FLD_ZONE"): self.zone}
            area = flood_area(given, outline)
            if zone_class(area.zone) is ZoneClass.UNKNOWN:
                fault = Fault(f"{area.zone} is no flood zone", "Correct FLD_ZONE, or say --zone")
                taken.rows.fault(i, self._names.get("FLD_ZONE", "FLD_ZONE"), fault)
                return
            elevation = area.static_bfe
            taken.areas.append(_with_key(area, self._key(area.source_key, geometry, given)))
        else:
            line = bfe_line(given, geometry)
            elevation = line.elevation
            taken.lines.append(_with_key(line, self._key(line.source_key, geometry, given)))
            taken.line_attributes.append(given)
        if elevation is not None and elevation.datum == UNKNOWN_DATUM:
            self.without_datum += 1

    def _require_attributes(self, sheet: Sheet) -> None:
        kinds = {one.geom_type for one in sheet.geometries or () if one is not None}
        if kinds & POLYGONS and "FLD_ZONE" not in self._names and not self.zone:
            raise FileError(
                f"{self.source.name} has no zone attribute (FLD_ZONE), so it does not say what its "
                "polygons are. Say it with --zone, for example --zone AE, and only if all of them "
                "are one zone."
            )
        if kinds & LINES and "ELEV" not in self._names:
            raise FileError(
                f"{self.source.name} holds lines without an elevation (ELEV). Base flood elevation "
                "lines need it."
            )

    def _sound(self, rows: Rows, i: int, geometry: Any) -> Any:  # noqa: ANN401 - shapely
        """Return the outline, repaired where two ways to do it agree; else it is a fault."""
        if geometry.is_valid and geometry.area > 0:
            return geometry
        why = shapely.is_valid_reason(geometry).split("[")[0].strip().lower() or "no area"
        mended = _polygons(shapely.make_valid(geometry, method="linework"))
        other = _polygons(shapely.make_valid(geometry, method="structure"))
        if mended is not None and other is not None and mended.area > 0:
            apart = shapely.symmetric_difference(mended, other).area
            if apart <= AGREE_SHARE * mended.area:
                self.repaired.append(rows.sheet.numbers[i])
                return mended
        fault = Fault(
            f"its outline is not sound ({why}) and there is more than one way to repair it",
            "Repair it in a desktop GIS",
        )
        rows.fault(i, "geometry", fault)
        return None

    def _key(self, key: str, geometry: Any, given: dict[str, str]) -> str:  # noqa: ANN401 - shapely
        """Return what tells a record from others: its own id, or a digest of all it says."""
        own = any(text_value(self._of(given, name)) for name in KEY_ATTRIBUTES)
        if not own:
            whole = json.dumps(given, sort_keys=True).encode() + shapely.to_wkb(geometry)
            key = f"sha256:{hashlib.sha256(whole).hexdigest()[:32]}"
        self._keys[key] += 1
        return key if self._keys[key] == 1 else f"{key} ({self._keys[key]})"

    def _of(self, given: dict[str, str], name: str) -> str:
        return given.get(self._names.get(name, name), "")


def _with_key[R: (FloodArea, BfeLine)](record: R, key: str) -> R:
    from dataclasses import replace

    return replace(record, source_key=key)


def _polygons(geometry: Any) -> Any:  # noqa: ANN401 - shapely
    """Return the polygons of a repaired geometry, None if there are none."""
    if geometry.geom_type in POLYGONS:
        return geometry
    parts: Sequence[Any] = getattr(geometry, "geoms", ())
    kept = [one for one in parts if one.geom_type in POLYGONS]
    return shapely.union_all(kept) if kept else None
