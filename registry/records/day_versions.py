"""The versions of a date's plan, and what moved from one to the next."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class MadeHow(StrEnum):
    """How a version of a plan came about."""

    ORDERED = "ordered"
    REORDERED = "re-ordered"
    BY_HAND = "changed by hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayVersion:
    """One version of a date's plan; the one with the highest number is in force.

    ``made_from`` is the version that was in force before, 0 = none. ``note`` says what for.
    """

    number: int
    made_at: datetime
    made_by: str = ""
    made_how: str = MadeHow.ORDERED
    made_from: int = 0
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """Where a visit stands in a plan: on whose route, and when its work starts."""

    technician_id: int
    technician: str
    starts: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Move:
    """What became of one visit from one plan to another; None = on no route.

    ``promised``: a hold fixes the visit, so its owner may have been told.
    """

    site_id: int
    site: str
    place: str = ""
    before: Placed | None
    after: Placed | None
    promised: bool = False
