"""Calls to owners before a visit: that they were made, and what was agreed."""

from dataclasses import dataclass
from datetime import date, datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class CallMade:
    """A call about one site's visit on a date; ``agreed`` is what the two settled, in words."""

    site_id: int
    on_date: date
    agreed: str = ""
    called_by: str = ""
    called_at: datetime
