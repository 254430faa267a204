"""How the rivers stand, in one line each: for whoever looks at the day."""

from datetime import datetime

from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.rivers import RiverNow
from registry.store import Session, rivers


def rivers_now(session: Session, viewer: Viewer, now: datetime) -> list[RiverNow]:
    """Return each gauge of which anything is known now, by name.

    Raises
    ------
    AccessError
        If the role may not see high water.
    """
    require(viewer, "see high water")
    found = [
        RiverNow(
            gauge=name,
            read=rivers.last_read(session, gauge_id, now),
            to_come=rivers.highest_to_come(session, gauge_id, now),
        )
        for name, gauge_id in sorted(rivers.gauge_ids(session).items())
    ]
    return [one for one in found if one.read or one.to_come]
