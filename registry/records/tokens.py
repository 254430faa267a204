"""A personal token as its owner and the administrator know it; nobody knows its secret twice."""

from dataclasses import dataclass
from datetime import datetime

FEATURES = "features"
"""The scope of a token that reads map features and opens nothing else."""

MEASUREMENTS = "measurements"
"""The scope of a token that reads the counts of the server processes and opens nothing else."""

CALENDAR = "calendar"
"""The scope of a token that is part of the address of a technician's calendar and opens only it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AccessToken:
    """A token of one sign-in: what for, since when, when it was last used, whether it ended.

    ``last_used_at`` is exact to a minute; None = never used.
    """

    id: int
    user_id: int
    who: str
    label: str
    scope: str
    made_at: datetime
    last_used_at: datetime | None = None
    revoked_at: datetime | None = None
