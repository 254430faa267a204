"""Overdue systems by town: the map in words, the worst town first."""

from datetime import date

from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.county_numbers import LateShare
from registry.records.due_rows import DueFilter
from registry.store import Session, overdue_counts
from registry.store.scope import scope_of


def overdue_towns(
    session: Session, viewer: Viewer, on_date: date, which: DueFilter
) -> list[LateShare]:
    """Return the towns of the viewer by overdue systems, most first, then longest overdue first.

    Raises
    ------
    AccessError
        If the role may not see the county map.
    """
    require(viewer, "see the county map")
    found = overdue_counts.late_shares(session, scope_of(viewer), on_date, "town", which)
    return sorted(found, key=lambda one: (-one.n_overdue, one.oldest_due_on or on_date, one.name))
