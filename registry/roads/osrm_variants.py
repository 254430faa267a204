"""OSRM networks under other conditions than they were built with, each in a folder of its own.

OSRM takes closed roads and other speeds from a table of pieces when it customises a network. That
is done on a fresh copy, never on files that an engine may have open, and nothing of it can stay
behind when a closure is lifted: the network as it was built is left untouched beside it.
"""

import os
import shutil
import tempfile
from contextlib import suppress
from pathlib import Path

import numpy as np

from registry.errors import RoadError
from registry.roads.arrays import Floats, Ints
from registry.roads.graph import Graph
from registry.roads.network_book import Barred
from registry.roads.osrm_build import BUILT, NAME, customize
from registry.roads.stretches import Stretches

FOLDER = "variants"
SCRATCH = "making-"
ROWS = "pieces.csv"
MOST_KEPT = 12
"""Variants kept; those used least lately go first. One that an engine has read may be deleted."""


def variant_folder(revision_folder: Path, barred: Barred) -> Path:
    """Return the folder of OSRM's network under some conditions, whether it is there or not."""
    return revision_folder / FOLDER / barred.digest


def make_variant(revision_folder: Path, barred: Barred, graph: Graph, stretches: Stretches) -> None:
    """Make OSRM's network under some conditions in its folder, if it is not there.

    Raises
    ------
    RoadError
        If OSRM refuses, or the folder cannot be written.
    """
    target = variant_folder(revision_folder, barred)
    folder = target.parent
    if target.is_dir():
        with suppress(OSError):
            os.utime(target)  # used just now
        return
    try:
        folder.mkdir(exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=SCRATCH, dir=folder) as scratch:
            made = Path(scratch) / "made"
            shutil.copytree(revision_folder / BUILT, made)
            rows = Path(scratch) / ROWS
            rows.write_text(piece_rows(barred, graph, stretches), encoding="ascii")
            customize(made / NAME, rows)
            with suppress(OSError):  # another process may have been quicker with the same
                made.rename(target)
        _sweep(folder)
    except OSError as wrong:
        raise RoadError(
            f"Closed roads cannot be written to {folder}: {wrong.strerror or wrong}. Make room."
        ) from wrong


def piece_rows(barred: Barred, graph: Graph, stretches: Stretches) -> str:
    """Return OSRM's table of pieces: from node, to node, km/h, where 0 closes it; both ways."""
    pieces, speed_km_h = _set_pieces(barred, graph)
    a, b = stretches.node_id[pieces], stretches.node_id[pieces + 1]
    rows = [
        f"{x},{y},{v:.10g}\n{y},{x},{v:.10g}"
        for x, y, v in zip(a.tolist(), b.tolist(), speed_km_h.tolist(), strict=True)
    ]
    return "\n".join([*rows, ""])


def _set_pieces(barred: Barred, graph: Graph) -> tuple[Ints, Floats]:
    """Return all pieces that are driven otherwise than by OSRM's own profile, and how fast."""
    speed = np.full(len(graph.shape), np.nan)
    if len(barred.speed_km_h):
        speed = np.repeat(barred.speed_km_h, np.diff(graph.first))
        speed[graph.first[1:] - 1] = np.nan  # no piece begins at a stretch's last point
    speed[barred.pieces] = 0.0
    pieces = np.flatnonzero(np.isfinite(speed))
    return pieces, speed[pieces]


def _sweep(folder: Path) -> None:
    """Delete the variants used least lately beyond the bound, and what a crash left behind."""
    kept = sorted(folder.iterdir(), key=lambda one: one.stat().st_mtime, reverse=True)
    for old in kept[MOST_KEPT:]:
        shutil.rmtree(old, ignore_errors=True)
