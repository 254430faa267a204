"""The OSRM engines of one network: as it was built, and under other conditions."""

from collections import OrderedDict
from pathlib import Path

from registry.roads.arrays import Floats
from registry.roads.network_book import Barred, NetworkBook
from registry.roads.osrm_build import NAME, OPEN
from registry.roads.osrm_pipe import Arrays
from registry.roads.osrm_process import OsrmProcess
from registry.roads.osrm_variants import make_variant, variant_folder

MOST_BYTES = 64_000_000
"""Tables kept at hand: several trucks and hours of a day often drive the same network."""


class OsrmEngines:
    """Asks about a network without what is barred; one process owns the engines of them all."""

    def __init__(self, revision_folder: Path) -> None:
        self._folder = revision_folder
        self.book = NetworkBook.of_folder(revision_folder)
        self._process = OsrmProcess()
        self._tables: OrderedDict[tuple[str, bytes], Arrays] = OrderedDict()

    def start(self) -> None:
        """Start the process without waiting for it."""
        self._process.start()

    def table(self, barred: Barred, lon_lat: Floats) -> Arrays:
        """Return OSRM's table between places, (n, 2), without what is barred; see ``osrm_worker``.

        Where roads are closed, ``open_m`` (n,) is how far each place lies from the nearest road
        while none is. The arrays are shared: whoever changes one copies it first.

        Raises
        ------
        RoadError
            If OSRM cannot make that network, or cannot answer.
        """
        key = (barred.digest, lon_lat.tobytes())
        if key not in self._tables:
            places = lon_lat.tolist()
            told = self._process.ask(self._network(barred), "table", places)
            if len(barred.pieces):
                near = self._process.ask(self._whole, "nearest", places)
                told["open_m"] = near["nearest_m"]
            self._tables[key] = told
            while len(self._tables) > 1 and self._bytes() > MOST_BYTES:
                self._tables.popitem(last=False)
        self._tables.move_to_end(key)
        return self._tables[key]

    def line(self, barred: Barred, lon_lat: Floats) -> Floats:
        """Return the line along the roads through places, (n, 2), without what is barred.

        Raises
        ------
        RoadError
            If OSRM cannot make that network, or cannot answer.
        """
        return self._process.ask(self._network(barred), "line", lon_lat.tolist())["line"]

    def close(self) -> None:
        """End the process."""
        self._process.close()

    @property
    def _whole(self) -> Path:
        return self._folder / OPEN / NAME

    def _network(self, barred: Barred) -> Path:
        """Return the network without what is barred, made if it is not there.

        The process comes up meanwhile.
        """
        if barred.changes_nothing:
            return self._whole
        self.start()
        make_variant(self._folder, barred, self.book.graph, self.book.stretches)
        return variant_folder(self._folder, barred) / NAME

    def _bytes(self) -> int:
        return sum(one.nbytes for told in self._tables.values() for one in told.values())
