"""Fixing a visit on a date, and letting it go."""

from dataclasses import replace
from datetime import datetime

from registry.errors import NotFoundError, RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.visits import Hold
from registry.services.see_day import firm_of
from registry.store import Session, days, names, sites
from registry.units import MIN_PER_DAY


def hold_visit(session: Session, viewer: Viewer, hold: Hold, now: datetime) -> None:
    """Fix a site's visit on its date, to a technician or to anyone; the next ordering keeps it.

    Raises
    ------
    AccessError
        If the role may not hold visits.
    NotFoundError
        If the site or the technician is not the firm's.
    RangeError
        If the promised hours end before they begin.
    """
    require(viewer, "hold a visit")
    firm_id = firm_of(session, viewer)
    promised = (hold.from_min or 0, MIN_PER_DAY if hold.to_min is None else hold.to_min)
    if not 0 <= promised[0] <= promised[1] <= MIN_PER_DAY:
        raise RangeError("The promised hours end before they begin. Give the earlier one first.")
    if not names.is_site_of(session, firm_id, hold.site_id):
        raise NotFoundError("There is no such site in your firm.")
    known = names.technician_ids(session, firm_id).values()
    if hold.technician_id is not None and hold.technician_id not in known:
        raise NotFoundError("There is no such technician in your firm.")
    days.put_hold(session, firm_id, replace(hold, held_by=viewer.name), now)


def site_id_of(session: Session, viewer: Viewer, key: str) -> int:
    """Return the id of a site of the viewer's firm by its number.

    Raises
    ------
    NotFoundError
        If there is none with this number.
    """
    ids = sites.site_ids_of(session, key.strip(), firm_of(session, viewer)) if key.strip() else []
    if not ids:
        raise NotFoundError(f"There is no site “{key.strip()[:40]}” in your firm.")
    return ids[0]


def release_visit(session: Session, viewer: Viewer, hold: Hold) -> None:
    """Let a held visit go; the next ordering may put it anywhere."""
    require(viewer, "hold a visit")
    days.release_hold(session, firm_of(session, viewer), hold.site_id, hold.on_date)
