"""Choosing the road engine: OSRM if the network was built with it, else Dijkstra, else a line."""

from pathlib import Path

from registry.basemap.revisions import current_folder, read_about
from registry.roads.cached import CachedRoads, KeyedRoads
from registry.roads.osrm_build import osrm_version

TABLES = "tables"


def road_engine(folder: Path) -> CachedRoads:
    """Return the engine of the network in use, which keeps its tables; close it at the end.

    Parameters
    ----------
    folder
        The folder of all road networks.

    Raises
    ------
    RoadError
        If the network in use is damaged.
    """
    return CachedRoads(_engine(folder), folder / TABLES)


def _engine(folder: Path) -> KeyedRoads:
    here = current_folder(folder)
    if here is None:
        from registry.roads.straight_line import StraightLine

        return StraightLine()
    info = read_about(here)
    if info.engine == "osrm" and osrm_version():
        from registry.roads.with_osrm import OsrmRoads

        return OsrmRoads(here, info)
    from registry.roads.with_dijkstra import DijkstraRoads

    return DijkstraRoads.open(here, info)
