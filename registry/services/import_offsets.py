"""Importing a grid of vertical datum offsets."""

import hashlib
from datetime import datetime
from pathlib import Path

from registry.imports.offset_grid import offset_grid, read_grid_file
from registry.records.changes import ImportCounts
from registry.store import Session, datum_grids


def import_offsets(session: Session, path: Path, now: datetime) -> ImportCounts:
    """Keep a grid of offsets from NGVD 29 to NAVD 88; the same file again changes nothing.

    Raises
    ------
    FileError
        If the file is not such a grid.
    """
    body = read_grid_file(path)
    offset_grid(path.name, body)
    done = datum_grids.put_grid(session, path.name, hashlib.sha256(body).hexdigest(), body, now)
    return ImportCounts(
        read=1,
        added=int(done == "added"),
        changed=int(done == "changed"),
        unchanged=int(done == "unchanged"),
        rejected=0,
    )
