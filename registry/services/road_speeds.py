"""The speeds at which a firm drives its roads: shown beside the program's own, set, given back."""

from collections.abc import Mapping
from datetime import datetime

from registry.errors import RangeError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.roads import SPEED_CLASSES
from registry.services.see_day import firm_of
from registry.store import Author, Session
from registry.store import road_speeds as kept

SLOWEST_MPH, FASTEST_MPH = 1.0, 80.0


def road_speeds(session: Session, viewer: Viewer) -> dict[str, float]:
    """Return the speeds that the viewer's firm set, by class of road, in miles an hour.

    Raises
    ------
    AccessError
        If the role may not see days.
    """
    require(viewer, "see the day")
    return kept.road_speeds(session, firm_of(session, viewer))


def set_road_speeds(
    session: Session, viewer: Viewer, speeds_mph: Mapping[str, float | None], now: datetime
) -> None:
    """Set speeds by class of road, all or none; None = as the engine has it.

    Raises
    ------
    AccessError
        If the role may not change them.
    RangeError
        Naming every class that is not known and every speed that no truck drives.
    """
    require(viewer, "set road speeds")
    wrong = [
        f"“{kind[:30]}” is no class of road" for kind in speeds_mph if kind not in SPEED_CLASSES
    ]
    wrong += [
        f"{mph:g} mph for {kind} is not between {SLOWEST_MPH:g} and {FASTEST_MPH:g}"
        for kind, mph in speeds_mph.items()
        if mph is not None and not SLOWEST_MPH <= mph <= FASTEST_MPH
    ]
    if wrong:
        raise RangeError(f"{'; '.join(wrong)}. Classes are {', '.join(SPEED_CLASSES)}.")
    by = Author(viewer.name, now, "road speeds")
    firm_id = firm_of(session, viewer)
    for kind, mph in speeds_mph.items():
        kept.put_road_speed(session, firm_id, kind, mph, by)
