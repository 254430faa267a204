"""Import a road network: the file becomes the network and the base map in use."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Protocol

from registry.basemap.revisions import current_network
from registry.errors import RoadError
from registry.records.changes import ImportCounts
from registry.records.roads import NetworkInfo

OSM_CREDIT = "© OpenStreetMap contributors"
"""What the Open Database License asks for on a map drawn from OpenStreetMap data."""


class NetworkBuilder(Protocol):
    """Builds a road network and makes it the one in use."""

    def __call__(
        self,
        source: Path,
        folder: Path,
        credit: str,
        now: datetime,
        progress: Callable[[str, float], None],
    ) -> NetworkInfo:
        """Build all of it or leave the folder as it was."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadImport:
    """The network that is in use now, and what the import changed."""

    network: NetworkInfo
    counts: ImportCounts


def import_roads(
    source: Path,
    folder: Path,
    *,
    credit: str = "",
    now: datetime,
    build: NetworkBuilder,
    progress: Callable[[str, float], None],
) -> RoadImport:
    """Import the roads of an OpenStreetMap file.

    Parameters
    ----------
    source
        The file.
    folder
        The folder of all road networks.
    credit
        Whose credit stands on every map; empty for OpenStreetMap's.
    now
        The moment that is written down as the time of building.
    build
        Builds the network.
    progress
        Told what goes on, and the share that is done.

    Returns
    -------
    RoadImport
        Counts are in drivable ways: all unchanged where the same file is in use already.

    Raises
    ------
    RoadError
        If the file cannot be read or holds no road; the network in use before stays so.
    """
    try:
        before = current_network(folder)
    except RoadError:  # a damaged folder is mended by importing again
        before = None
    network = build(source, folder, credit or OSM_CREDIT, now, progress)
    same = before is not None and before.revision == network.revision
    return RoadImport(
        network=network,
        counts=ImportCounts(
            read=network.ways,
            added=0 if same else network.ways,
            changed=0,
            unchanged=network.ways if same else 0,
            rejected=0,
            warnings=network.warnings,
        ),
    )
