"""A cell that holds a moment."""

from datetime import datetime

from registry.imports.cells import Fault
from registry.imports.numbers import shortened

_REMEDY = "Write it as 2026-06-09T06:00-05:00, with the hours from UTC"


def moment(cell: str) -> datetime | Fault | None:
    """Return a moment of ISO 8601 that says how far its clock stands from UTC."""
    if not cell:
        return None
    try:
        found = datetime.fromisoformat(cell.strip())
    except ValueError:
        return Fault(f"“{shortened(cell)}” is no moment", _REMEDY)
    if found.tzinfo is None:
        return Fault(f"“{shortened(cell)}” does not say which clock it is by", _REMEDY)
    return found
