"""Travel times along a straight line, for where no road network was imported."""

from collections.abc import Sequence

import numpy as np
from pyproj import Geod

from registry.plan.ports import Matrix
from registry.records.places import LonLat
from registry.roads.graph import KM_H_PER_M_S
from registry.roads.nearest import lon_lat_array

DETOUR_FACTOR = 1.35
"""Length of a drive over that of the straight line; our estimate from 150 drives in six towns."""
SPEED_KM_H = 45.0
"""Mean speed of a drive in the country; our estimate."""
SOURCE = "straight lines × 1.35 at 45 km/h, because no road network was imported"
WARNING = (
    "No road network was imported: travel times are rough guesses from straight lines. "
    "Import one with: riserway import roads FILE.osm.pbf"
)


class StraightLine:
    """A road engine without roads: it knows neither rivers nor bridges, and says so."""

    key = "straight-line-1"

    def close(self) -> None:
        """Do nothing: there is nothing to end."""

    def travel_times(self, places: Sequence[LonLat]) -> Matrix:
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
            warnings=(WARNING,),
        )

    def line(self, places: Sequence[LonLat]) -> tuple[LonLat, ...]:
        """Return nothing: a straight line on a map would look like a road."""
        lon_lat_array(places)
        return ()
