"""Flood facts: vertical datums, freeboard, flood zones and base flood elevations.

The set-based join of sites with flood areas stands in ``registry.flood.join``; it is not imported
here because its libraries are slow to load.
"""

from registry.errors import DatumError
from registry.flood.bfe import interpolated_ft
from registry.flood.datums import can_compare, freeboard_ft, to_datum
from registry.flood.grids import OffsetGrid, grid_offset_ft
from registry.records.elevation import Elevation

NOT_A_DETERMINATION = (
    "Not a flood determination: an overlay of published map layers on the position kept for the "
    "site. Only the authority in charge can say what lies in a flood hazard area."
)
"""Stands beside every flood flag, on pages, on paper and in files."""

__all__ = [
    "NOT_A_DETERMINATION",
    "DatumError",
    "Elevation",
    "OffsetGrid",
    "can_compare",
    "freeboard_ft",
    "grid_offset_ft",
    "interpolated_ft",
    "to_datum",
]
