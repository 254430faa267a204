"""Travel times along a straight line, for where no road network was imported."""

from collections.abc import Sequence

import numpy as np
from pyproj import Geod
from shapely import MultiLineString

from registry.errors import RoadError
from registry.plan.ports import Matrix
from registry.records.places import LonLat
from registry.records.roads import NamedStretch, RoadConditions, VehicleLimits
from registry.roads.graph import KM_H_PER_M_S
from registry.roads.nearest import lon_lat_array
from registry.roads.network_book import digest_of

DETOUR_FACTOR = 1.35
"""Length of a drive over that of the straight line; our estimate from 150 drives in six towns."""
SPEED_KM_H = 45.0
"""Mean speed of a drive in the country; our estimate."""
SOURCE = "straight lines × 1.35 at 45 km/h, because no road network was imported"
WARNING = (
    "No road network was imported: travel times are rough guesses from straight lines. "
    "Import one with: riserway import roads FILE.osm.pbf"
)
UNHEEDED = "Roads are closed, but without a road network no closure can be driven around."


class StraightLine:
    """A road engine without roads: it knows neither rivers nor bridges, and says so."""

    def __init__(self, conditions: RoadConditions | None = None) -> None:
        self._conditions = conditions or RoadConditions()

    @property
    def key(self) -> str:
        """What tells this engine's answers from another's."""
        return f"straight-line-1 {digest_of(self._conditions)}"

    def under(self, conditions: RoadConditions) -> "StraightLine":
        """Return the same guesses, which say that they know of no closure."""
        return StraightLine(conditions)

    def close(self) -> None:
        """Do nothing: there is nothing to end."""

    def get_ready(self) -> None:
        """Be ready: nothing has to be read or started."""

    def travel_times(
        self,
        places: Sequence[LonLat],
        *,
        limits: VehicleLimits | None = None,  # noqa: ARG002 - the port's; no road has a sign here
    ) -> Matrix:
        """Return guessed seconds and metres between all places.

        Raises
        ------
        RoadError
            If a position is not a finite number.
        """
        lon_lat = lon_lat_array(places)
        lon, lat = np.broadcast_to(lon_lat[:, None], (len(places), *lon_lat.shape)).T
        _, _, straight_m = Geod(ellps="WGS84").inv(lon.T, lat.T, lon, lat)
        travel_m = np.asarray(straight_m, np.float64) * DETOUR_FACTOR
        return Matrix(
            travel_s=travel_m / (SPEED_KM_H / KM_H_PER_M_S),
            travel_m=travel_m,
            snap_m=np.zeros(len(places)),
            source=SOURCE,
            warnings=(WARNING, *([UNHEEDED] if self._conditions.closures else [])),
        )

    def line(
        self,
        places: Sequence[LonLat],
        *,
        limits: VehicleLimits | None = None,  # noqa: ARG002 - the port's
    ) -> tuple[LonLat, ...]:
        """Return nothing: a straight line on a map would look like a road."""
        lon_lat_array(places)
        return ()

    def in_the_way(
        self,
        start: LonLat,  # noqa: ARG002 - the port's
        places: Sequence[LonLat],
        *,
        limits: VehicleLimits | None = None,  # noqa: ARG002 - the port's
    ) -> tuple[tuple[str, ...], ...]:
        """Return nothing for each place: no road, no closure."""
        return ((),) * len(places)

    def find(self, wanted: NamedStretch) -> MultiLineString:
        """Refuse: without a network no road has a name.

        Raises
        ------
        RoadError
            Always.
        """
        raise RoadError(
            f"No road network was imported, so “{wanted.road[:60]}” cannot be found. Import one "
            "with: riserway import roads FILE.osm.pbf"
        )

    def classes_m(self, places: Sequence[LonLat]) -> tuple[dict[str, float], ...]:
        """Return nothing for each leg: a straight line leads over no road."""
        return tuple({} for _ in places[1:])
