"""How far a place may lie from the road it is put on, and what is said about it."""

from collections.abc import Sequence

import numpy as np
import numpy.typing as npt

from registry.errors import RoadError
from registry.records.places import LonLat

WARN_M = 300.0
"""Farther from a road than this is said in a warning."""
REFUSE_M = 2_000.0
"""Farther from a road than this is refused: the place or the road file must be wrong."""
DETOUR_M = 50.0
"""How much farther than the nearest road the joined network may be to be used instead.

That much is a gap in the map, as between a drive and its street.
Beyond it the place stands on a road of its own, as on an island, and counts as not reachable.
"""
OTHER_ROAD_M = 5.0
"""A place that lies so much farther from a road once some are closed was put on another road."""
NAMED_AT_MOST = 12


def name_of(index: int, place: LonLat) -> str:
    """Return how a sentence names a place: its number in the list, from 1, and its position."""
    return f"place {index + 1} ({place.lon:.5f}, {place.lat:.5f})"


def snap_warnings(places: Sequence[LonLat], snap_m: npt.NDArray[np.float64]) -> tuple[str, ...]:
    """Return one sentence for each place that lies far from any road.

    Parameters
    ----------
    places
        The n places.
    snap_m
        Their distances from the road they were put on, (n,). [m]

    Raises
    ------
    RoadError
        If a place lies more than 2 km from any road; every such place is listed.
    """
    far = np.flatnonzero(~(snap_m <= REFUSE_M)).tolist()
    if far:
        beyond = [f"{name_of(i, places[i])}: {snap_m[i] / 1000:,.1f} km" for i in far]
        raise RoadError(
            f"No road within 2 km of {_listed(beyond)}. Check the position, or import roads that "
            "cover it.",
            far=tuple(far),
        )
    return tuple(
        f"{name_of(i, places[i])} lies {snap_m[i]:,.0f} m from the nearest road."
        for i in np.flatnonzero(snap_m > WARN_M).tolist()
    )


def on_a_closed_road(
    snap_m: npt.NDArray[np.float64], open_m: npt.NDArray[np.float64]
) -> tuple[npt.NDArray[np.float64], npt.NDArray[np.bool_]]:
    """Return how far places lie from their road, and which of them stand on a closed one.

    Parameters
    ----------
    snap_m
        Distances from the road that each of n places was put on, among those that are open, (n,).
    open_m
        The same while nothing is closed, (n,). A place that was put on another road, farther off,
        must not be planned from there: a river may lie between.
    """
    closed = snap_m - open_m > OTHER_ROAD_M
    return np.where(closed, open_m, snap_m), closed


def closed_warnings(places: Sequence[LonLat], closed: npt.NDArray[np.bool_]) -> tuple[str, ...]:
    """Return one sentence for each place that stands on a road which may not be driven."""
    return tuple(
        f"{name_of(i, places[i])} stands on a road that is closed, or closed to this truck."
        for i in np.flatnonzero(closed).tolist()
    )


def gap_warning(index: int, place: LonLat, snap_m: float) -> str:
    """Return the sentence for a place that was put on the network across a gap in the map."""
    return (
        f"{name_of(index, place)} stands on a road that the map does not join to the others; "
        f"the next one, {snap_m:,.0f} m away, was taken."
    )


def unreachable_warnings(
    places: Sequence[LonLat], travel_s: npt.NDArray[np.float64]
) -> tuple[str, ...]:
    """Return sentences that name the places, then the pairs, between which no road leads.

    Parameters
    ----------
    places
        The n places.
    travel_s
        Travel times with nan where no road leads, (n, n). [s]
    """
    reached = ~np.isnan(travel_s)
    np.fill_diagonal(reached, val=True)
    if reached.all():
        return ()
    both_ways = reached & reached.T
    most = both_ways[both_ways.sum(axis=1).argmax()]  # the places that most others reach, and back
    said = [
        f"{name_of(i, places[i])} is not joined to the other places by road, or one way only."
        for i in np.flatnonzero(~most).tolist()
    ]
    pairs = [
        f"{name_of(a, places[a])} to {name_of(b, places[b])}"
        for a, b in np.argwhere(~reached & most & most[:, None]).tolist()
    ]
    if pairs:
        said.append(f"No road leads from {_listed(pairs)}.")
    return tuple(said)


def _listed(names: list[str]) -> str:
    more = len(names) - NAMED_AT_MOST
    return "; ".join(names[:NAMED_AT_MOST]) + (f"; and {more:,} more" if more > 0 else "")
