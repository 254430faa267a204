"""The OSRM engines of one network: as it was built, and under other conditions."""

from collections import OrderedDict
from pathlib import Path

from registry.roads.network_book import Barred, NetworkBook
from registry.roads.osrm_build import NAME, OPEN
from registry.roads.osrm_process import OsrmProcess
from registry.roads.osrm_variants import variant_folder

MOST_OPEN = 4
"""Engines kept open at a time beside the one of the whole network."""


class OsrmEngines:
    """Opens an engine for what is barred, one process each, and ends them all together."""

    def __init__(self, revision_folder: Path) -> None:
        self._folder = revision_folder
        self.book = NetworkBook.of_folder(revision_folder)
        self.whole = OsrmProcess(revision_folder / OPEN / NAME)
        self._open: OrderedDict[str, OsrmProcess] = OrderedDict()

    def engine(self, barred: Barred) -> OsrmProcess:
        """Return the engine of the network without what is barred.

        Raises
        ------
        RoadError
            If OSRM cannot make that network.
        """
        if barred.changes_nothing:
            return self.whole
        key = barred.digest
        if key not in self._open:
            made = variant_folder(self._folder, barred, self.book.graph, self.book.stretches)
            self._open[key] = OsrmProcess(made / NAME)
            if len(self._open) > MOST_OPEN:
                _, oldest = self._open.popitem(last=False)
                oldest.close()
        self._open.move_to_end(key)
        return self._open[key]

    def close(self) -> None:
        """End all processes."""
        self.whole.close()
        for one in self._open.values():
            one.close()
        self._open.clear()
