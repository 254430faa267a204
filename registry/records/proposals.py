"""A value of a field that is kept beside the one in force until somebody settles which holds."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Why(StrEnum):
    """Why a value waits."""

    PROPOSED = "proposed"
    CHANGED_MEANWHILE = "changed meanwhile"


@dataclass(frozen=True, slots=True, kw_only=True)
class Proposal:
    """One value that waits: of which field of which row of a site's file, by whom, since when.

    ``kind``, ``row_id`` and ``field`` name the field as the history does. ``before`` is what
    whoever wrote ``value`` had seen; both are texts as the history shows them.
    """

    id: int = 0
    site_id: int
    kind: str
    row_id: int
    field: str
    before: str
    value: str
    why: Why
    who: str
    at: datetime
