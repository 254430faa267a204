"""The OSRM engines of one network: as it was built, and under other conditions."""

from collections import OrderedDict
from pathlib import Path

from registry.errors import RoadError
from registry.roads.arrays import Floats
from registry.roads.network_book import Barred, NetworkBook
from registry.roads.osrm_build import NAME, OPEN
from registry.roads.osrm_pipe import Arrays
from registry.roads.osrm_process import OsrmProcess
from registry.roads.osrm_variants import make_variant, variant_folder

MOST_OPEN = 4
"""Engines kept open at a time beside the one of the whole network."""
MOST_BYTES = 64_000_000
"""Tables kept at hand: several trucks and hours of a day often drive the same network."""


class OsrmEngines:
    """Opens an engine for what is barred, one process each, and ends them all together."""

    def __init__(self, revision_folder: Path) -> None:
        self._folder = revision_folder
        self.book = NetworkBook.of_folder(revision_folder)
        self._whole = OsrmProcess(revision_folder / OPEN / NAME)
        self._open: OrderedDict[str, OsrmProcess] = OrderedDict()
        self._tables: OrderedDict[tuple[str, bytes], Arrays] = OrderedDict()

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
            engine = self.engine(barred)
            if len(barred.pieces):
                self._whole.start()
            told = engine.ask("table", places)
            if len(barred.pieces):
                told["open_m"] = self._whole.ask("nearest", places)["nearest_m"]
            self._tables[key] = told
            while len(self._tables) > 1 and self._bytes() > MOST_BYTES:
                self._tables.popitem(last=False)
        self._tables.move_to_end(key)
        return self._tables[key]

    def engine(self, barred: Barred) -> OsrmProcess:
        """Return the engine of the network without what is barred.

        Raises
        ------
        RoadError
            If OSRM cannot make that network.
        """
        if barred.changes_nothing:
            return self._whole
        key = barred.digest
        if key not in self._open:
            self._open[key] = self._made(barred)
            if len(self._open) > MOST_OPEN:
                _, oldest = self._open.popitem(last=False)
                oldest.close()
        self._open.move_to_end(key)
        return self._open[key]

    def close(self) -> None:
        """End all processes."""
        self._whole.close()
        for one in self._open.values():
            one.close()
        self._open.clear()

    def _made(self, barred: Barred) -> OsrmProcess:
        """Return a process that comes up while its network is made, if that is not there."""
        folder = variant_folder(self._folder, barred)
        process = OsrmProcess(folder / NAME)
        process.start()
        try:
            make_variant(self._folder, barred, self.book.graph, self.book.stretches)
        except RoadError:
            process.close()
            raise
        return process

    def _bytes(self) -> int:
        return sum(one.nbytes for told in self._tables.values() for one in told.values())
