"""Two ties: the distances from two marked corners to a part, turned into bearing and distance."""

import math
from typing import NamedTuple

from registry.errors import RangeError

TAPE_FT = 1.0
"""How far off a taped tie may be before it is called wrong; common practice, no source."""

SIDES = ("left", "right")
"""Sides as seen by one who stands at the reference corner and looks to the second corner."""

COMPASS_DEG = {
    word: 22.5 * step
    for step, words in enumerate(
        (
            *(("n", "north"), ("nne",), ("ne", "northeast"), ("ene",), ("e", "east"), ("ese",)),
            *(("se", "southeast"), ("sse",), ("s", "south"), ("ssw",), ("sw", "southwest")),
            *(("wsw",), ("w", "west"), ("wnw",), ("nw", "northwest"), ("nnw",)),
        )
    )
    for word in words
}


class Spot(NamedTuple):
    """A place on the ground as seen from the reference corner; bearings from true north."""

    bearing_deg: float
    distance_ft: float

    @property
    def east_north_ft(self) -> tuple[float, float]:
        """The spot as feet east and feet north of the reference corner."""
        turn = math.radians(self.bearing_deg)
        return self.distance_ft * math.sin(turn), self.distance_ft * math.cos(turn)

    def apart_ft(self, other: "Spot") -> float:
        """Return how far two spots lie from each other. [ft]."""
        return math.dist(self.east_north_ft, other.east_north_ft)


def meet_ties(
    tie_a_ft: float, tie_b_ft: float, corner_b_bearing_deg: float, corner_b_distance_ft: float
) -> tuple[Spot, ...]:
    """Return where two ties meet: one spot on the line of the corners, else the left and the right.

    Two circles about two points meet in two places, one on each side of the line between the
    points (Euclid, Elements I.22); only a stated side can tell which is meant.

    Parameters
    ----------
    tie_a_ft
        Distance from the reference corner to the part. [ft]
    tie_b_ft
        Distance from the second corner to the part. [ft]
    corner_b_bearing_deg
        Bearing from the reference corner to the second corner, from true north. [deg]
    corner_b_distance_ft
        Distance between the two corners. [ft]

    Returns
    -------
    tuple[Spot, ...]
        The spot to the left and the one to the right, looking from the reference corner to the
        second one; a single spot where both lie within a tape's error of the line.

    Raises
    ------
    RangeError
        If a distance is negative, not a number, the corners coincide or the ties cannot meet.
    """
    lengths = (tie_a_ft, tie_b_ft, corner_b_distance_ft)
    if not all(math.isfinite(length) and length >= 0 for length in (*lengths, 0.0)):
        raise RangeError("A tie is negative or not a number. Measure it again.")
    if not math.isfinite(corner_b_bearing_deg) or corner_b_distance_ft == 0:
        raise RangeError(
            "The second corner must have a bearing and lie apart from the reference corner. "
            "Give both on the site file."
        )
    _refuse_ties_that_miss(tie_a_ft, tie_b_ft, corner_b_distance_ft)
    d = corner_b_distance_ft
    along = (tie_a_ft**2 - tie_b_ft**2 + d**2) / (2 * d)
    off = math.sqrt(max(tie_a_ft**2 - along**2, 0.0))
    if off <= TAPE_FT:
        on_line = corner_b_bearing_deg if along >= 0 else corner_b_bearing_deg + 180
        return (Spot(on_line % 360, tie_a_ft),)
    turn = math.degrees(math.atan2(off, along))
    return tuple(Spot((corner_b_bearing_deg + side * turn) % 360, tie_a_ft) for side in (-1, 1))


def _refuse_ties_that_miss(tie_a_ft: float, tie_b_ft: float, apart_ft: float) -> None:
    too_short = apart_ft - tie_a_ft - tie_b_ft
    too_long = abs(tie_a_ft - tie_b_ft) - apart_ft
    if max(too_short, too_long) <= TAPE_FT:
        return
    why = (
        f"together they fall {too_short:.1f} ft short"
        if too_short > too_long
        else f"they differ by {too_long:.1f} ft more than that"
    )
    raise RangeError(
        f"The ties of {tie_a_ft:g} ft and {tie_b_ft:g} ft cannot meet: the two corners are "
        f"{apart_ft:g} ft apart, and {why}. Measure all three again."
    )


def spot_on_side(spots: tuple[Spot, ...], side: str, rough_deg: float | None = None) -> Spot | None:
    """Return the spot that a stated side or a rough bearing points to, None while it may be either.

    Parameters
    ----------
    spots
        As ``meet_ties`` returns them.
    side
        ``left`` or ``right`` as seen from the reference corner to the second one, or a compass
        word for the side of the corners' line; anything else says nothing.
    rough_deg
        A bearing that was only estimated. [deg]
    """
    if len(spots) == 1:
        return spots[0]
    word = "".join(side.lower().replace("side", "").split()).replace("-", "")
    if word in SIDES:
        return spots[SIDES.index(word)]
    toward = COMPASS_DEG.get(word)
    if toward is not None:
        return _further_toward(spots, toward)
    if rough_deg is not None and math.isfinite(rough_deg):
        return min(spots, key=lambda spot: abs(turn_deg(spot.bearing_deg, rough_deg)))
    return None


def _further_toward(spots: tuple[Spot, ...], toward_deg: float) -> Spot | None:
    """Return the spot that lies further in a direction; None where neither clearly does."""
    turn = math.radians(toward_deg)
    reach = [
        east * math.sin(turn) + north * math.cos(turn)
        for east, north in (spot.east_north_ft for spot in spots)
    ]
    if abs(reach[0] - reach[1]) <= TAPE_FT:
        return None
    return spots[reach.index(max(reach))]


def turn_deg(from_deg: float, to_deg: float) -> float:
    """Return the shorter turn from one bearing to another, within -180 and 180 degrees."""
    return (to_deg - from_deg + 180) % 360 - 180
