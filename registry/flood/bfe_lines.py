"""Base flood elevations of places between base flood elevation (BFE) lines.

A BFE line is the whole-foot level of the 1 % flood, drawn across the flood plain from edge to edge
(Florida Geographic Data Library's metadata of the layer). So the lines cut the flood plain into
reaches. A place in a reach that lies between exactly two lines takes a level between theirs, in the
ratio of its distances from them: half way between 108 and 109 it is 108.5 (FEMA, "Guide to Flood
Insurance Rate Maps", 1988, p. 29). A reach with one line lies past the last one, and a reach with
three or more is a confluence: both stay unknown (never to extrapolate and never to average across a
confluence: common practice, no source). That the ratio is taken of straight distances on a local
plane, and that areas which touch make one flood plain, is ours.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from registry.flood.areas import Outlines
from registry.flood.bfe import interpolated_ft
from registry.flood.datums import can_compare
from registry.flood.zones import ZoneClass, zone_class
from registry.records.elevation import Elevation
from registry.records.flood import BfeLine
from registry.records.geodesy import LocalPlane
from registry.records.places import LonLat

type FloatArray = NDArray[np.float64]
type IntArray = NDArray[np.int64]
type Shapes = NDArray[np.object_]

END_GAP_M = 15.0
"""A line that ends so near inside the flood plain's edge is taken to reach it; our estimate of how
carelessly lines are drawn."""

OVERSHOOT_M = 0.5
"""Lines are drawn so far past the edge, so that rounding leaves no slit."""

ON_LINE_M = 1.0
"""A place so near a line has the line's own level."""

SHARED_M = 0.5
"""A line bounds a reach if they share at least so much length."""

PAST_LAST = "the site lies past the last base flood elevation line"
NO_LINE = "no base flood elevation line bounds this reach"
CONFLUENCE = "more than two base flood elevation lines meet here, as at a confluence"
LINES_DIFFER = "the base flood elevation lines on either side stand on different datums"


@dataclass(frozen=True, slots=True)
class Bfe:
    """A base flood elevation and how it was found, or the reason why there is none."""

    elevation: Elevation | None
    how: str


def bfes_between_lines(
    lon_lat_deg: FloatArray, area_of: IntArray, outlines: Outlines, lines: Sequence[BfeLine]
) -> list[Bfe]:
    """Return the base flood elevations of places between BFE lines; see the module's text.

    Parameters
    ----------
    lon_lat_deg
        Longitude and latitude of the places, (n, 2). [deg]
    area_of
        Index of the area that each place lies in, (n,).
    outlines
        All areas.
    lines
        All BFE lines.

    Returns
    -------
    list of Bfe
        One per place; an estimate, not official.
    """
    found = [Bfe(None, NO_LINE)] * len(lon_lat_deg)
    is_detailed = np.array(
        [a.sfha is True and zone_class(a.zone) is ZoneClass.DETAILED for a in outlines.areas],
        dtype=bool,
    )
    usable = np.flatnonzero(is_detailed & outlines.is_sound) if len(is_detailed) else area_of[:0]
    if not len(usable) or not len(lines) or not len(lon_lat_deg):
        return found
    line_shapes = np.empty(len(lines), dtype=object)
    line_shapes[:] = [line.geometry for line in lines]
    plain_of = _flood_plains(outlines.shapes, usable)
    wanted = plain_of[area_of]
    areas, crossing = shapely.STRtree(line_shapes).query(
        outlines.shapes[usable], predicate="intersects"
    )
    for plain in np.unique(wanted[wanted >= 0]):
        members = usable[plain_of[usable] == plain]
        cutting = np.unique(crossing[plain_of[usable[areas]] == plain])
        if not len(cutting):
            continue
        reaches = _Reaches.of(
            outlines.shapes[members], line_shapes[cutting], [lines[i] for i in cutting]
        )
        places = np.flatnonzero(wanted == plain)
        for place, bfe in zip(places, reaches.bfes_at(lon_lat_deg[places]), strict=True):
            found[place] = bfe
    return found


@dataclass(frozen=True, slots=True)
class _Reaches:
    """A flood plain cut into reaches by its BFE lines, on a local plane in metres."""

    plane: LocalPlane
    cells: shapely.STRtree
    lines: Sequence[BfeLine]
    flat_lines: Shapes
    bounding: dict[int, list[int]]

    @classmethod
    def of(cls, areas: Shapes, line_shapes: Shapes, lines: Sequence[BfeLine]) -> "_Reaches":
        """Cut the flood plain that the areas make together."""
        west, south, east, north = shapely.total_bounds(areas)
        plane = LocalPlane(LonLat((west + east) / 2, (south + north) / 2))
        plain = shapely.transform(shapely.union_all(areas), plane.metres)
        flat_lines = np.asarray(shapely.transform(line_shapes, plane.metres), dtype=object)
        edge = shapely.boundary(plain)
        shapely.prepare(plain)
        cuts = [piece for line in flat_lines for piece in _to_the_edge(line, plain, edge)]
        noded = shapely.union_all([edge, *cuts])
        cells = np.asarray(shapely.get_parts(shapely.polygonize([noded])), dtype=object)
        tree = shapely.STRtree(cells)
        near, cell = tree.query(flat_lines, predicate="dwithin", distance=OVERSHOOT_M)
        # On a reach's edge a line coincides with it but for rounding; inside one it lies freely.
        grown = shapely.buffer(flat_lines[near], 0.1, quad_segs=1)
        shared_m = np.maximum(
            shapely.length(shapely.intersection(shapely.boundary(cells[cell]), grown)),
            shapely.length(shapely.intersection(flat_lines[near], cells[cell])),
        )
        bounding: dict[int, list[int]] = {}
        for one, of_cell, length_m in zip(near, cell, shared_m, strict=True):
            if length_m > SHARED_M:
                bounding.setdefault(int(of_cell), []).append(int(one))
        return cls(plane, tree, lines, flat_lines, bounding)

    def bfes_at(self, lon_lat_deg: FloatArray) -> list[Bfe]:
        """Return the base flood elevations of places of this flood plain, (n, 2)."""
        places = np.asarray(shapely.points(self.plane.metres(lon_lat_deg)), dtype=object)
        cells = self.cells.nearest(places)
        return [self._bfe_in(int(cell), here) for cell, here in zip(cells, places, strict=True)]

    def _bfe_in(self, cell: int, here: shapely.Geometry) -> Bfe:
        """Return the base flood elevation of a place in a reach."""
        bounding = self.bounding.get(cell, [])
        if not bounding:
            return Bfe(None, NO_LINE)
        away_m = shapely.distance(here, self.flat_lines[bounding])
        nearest = self.lines[bounding[int(np.argmin(away_m))]].elevation
        if away_m.min() <= ON_LINE_M:
            return Bfe(nearest, f"on the base flood elevation line {nearest.value_ft:g} ft")
        if len(bounding) != 2:
            return Bfe(None, PAST_LAST if len(bounding) == 1 else CONFLUENCE)
        one, other = (self.lines[i].elevation for i in bounding)
        if not can_compare(one, other):
            return Bfe(None, LINES_DIFFER)
        level_ft = interpolated_ft(
            away_m[0], (0.0, one.value_ft), (away_m[0] + away_m[1], other.value_ft)
        )
        low, high = sorted((one.value_ft, other.value_ft))
        return Bfe(
            Elevation(float(level_ft), one.datum),
            f"estimate, not official: between the base flood elevation lines {low:g} and "
            f"{high:g} ft",
        )


def _flood_plains(shapes: Shapes, usable: IntArray) -> IntArray:
    """Return which flood plain each area belongs to, (m,): areas that touch make one; −1 = none."""
    one, other = shapely.STRtree(shapes[usable]).query(shapes[usable], predicate="intersects")
    lowest = np.arange(len(usable))  # number that each area knows to be in its plain
    while True:
        lower = lowest.copy()
        np.minimum.at(lower, one, lowest[other])
        lower = lower[lower]  # what an area knows, all that point to it know: few passes
        if np.array_equal(lower, lowest):
            break
        lowest = lower
    plains = np.full(len(shapes), -1, dtype=np.int64)
    plains[usable] = lowest
    return plains


def _to_the_edge(
    line: shapely.Geometry, plain: shapely.Geometry, edge: shapely.Geometry
) -> list[shapely.Geometry]:
    """Return the pieces of a line drawn out over the edge at ends that stop at it or just short."""
    pieces = [line]
    for part in shapely.get_parts(line):
        course = shapely.get_coordinates(part)
        for end, before in ((course[0], course[1]), (course[-1], course[-2])):
            tip = shapely.points(end)
            if shapely.distance(tip, edge) > END_GAP_M:
                continue
            ahead = (end - before) / (np.linalg.norm(end - before) or 1.0)
            pieces.append(shapely.linestrings([end, end + OVERSHOOT_M * ahead]))
            if shapely.intersects(plain, tip):
                foot = shapely.get_coordinates(shapely.shortest_line(tip, edge))[1]
                gap_m = float(np.linalg.norm(foot - end))
                if gap_m > 0:
                    beyond = foot + OVERSHOOT_M * (foot - end) / gap_m
                    pieces.append(shapely.linestrings([end, beyond]))
    return pieces
