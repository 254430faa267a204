"""Lines in the local frame: smooth curves through points, crossings, nearest places."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, hypot

from demo_sites.county.frame import Place

type Line = tuple[Place, ...]


def smooth_line(points: Sequence[Place], step_m: float = 70.0) -> Line:
    """Return a curve through points (Catmull and Rom's spline), with a place every few metres."""
    if len(points) < 3:
        return tuple(points)
    ends = [_mirrored(points[0], points[1]), *points, _mirrored(points[-1], points[-2])]
    line = [points[0]]
    for i in range(len(points) - 1):
        a, b, c, d = ends[i : i + 4]
        parts = max(1, ceil(hypot(c.x - b.x, c.y - b.y) / step_m))
        line += [
            Place(_spline(a.x, b.x, c.x, d.x, k / parts), _spline(a.y, b.y, c.y, d.y, k / parts))
            for k in range(1, parts + 1)
        ]
    return tuple(line)


def _mirrored(near: Place, far: Place) -> Place:
    return Place(2 * near.x - far.x, 2 * near.y - far.y)


def _spline(a: float, b: float, c: float, d: float, t: float) -> float:
    return (
        b
        + (c - a) * t / 2
        + (2 * a - 5 * b + 4 * c - d) * t**2 / 2
        + (3 * b - a - 3 * c + d) * t**3 / 2
    )


def crossing(a: Place, b: Place, c: Place, d: Place) -> tuple[float, float] | None:
    """Return where two stretches cross, as shares of each (0 to 1), None where they do not."""
    rx, ry, sx, sy = b.x - a.x, b.y - a.y, d.x - c.x, d.y - c.y
    turn = rx * sy - ry * sx
    if abs(turn) < 1e-9:
        return None
    t = ((c.x - a.x) * sy - (c.y - a.y) * sx) / turn
    s = ((c.x - a.x) * ry - (c.y - a.y) * rx) / turn
    return (t, s) if 0 <= t <= 1 and 0 <= s <= 1 else None


def between(a: Place, b: Place, share: float) -> Place:
    """Return the place at a share of the way from one place to another."""
    return Place(a.x + share * (b.x - a.x), a.y + share * (b.y - a.y))


def nearest_on(line: Line, place: Place) -> tuple[float, int, float]:
    """Return the distance to a line, the index of the nearest stretch and the share along it."""
    found = ((*_nearest_on_stretch(a, b, place), i) for i, (a, b) in enumerate(pairwise(line)))
    away, share, which = min(found)
    return away, which, share


def _nearest_on_stretch(a: Place, b: Place, place: Place) -> tuple[float, float]:
    rx, ry = b.x - a.x, b.y - a.y
    square = rx * rx + ry * ry
    share = ((place.x - a.x) * rx + (place.y - a.y) * ry) / square if square else 0.0
    share = min(1.0, max(0.0, share))
    return hypot(a.x + share * rx - place.x, a.y + share * ry - place.y), share


def length_m(line: Line) -> float:
    """Return the length of a line [m]."""
    return sum(hypot(b.x - a.x, b.y - a.y) for a, b in pairwise(line))


def along(line: Line, reach_m: float) -> tuple[Place, Place]:
    """Return the place at a length along a line and the next place of the line after it."""
    for a, b in pairwise(line):
        piece = hypot(b.x - a.x, b.y - a.y)
        if piece and reach_m <= piece:
            return between(a, b, reach_m / piece), b
        reach_m -= piece
    return line[-1], Place(2 * line[-1].x - line[-2].x, 2 * line[-1].y - line[-2].y)
