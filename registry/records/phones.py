"""A technician's phone as the office knows it, and a pairing that waits to be used."""

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Phone:
    """A phone of one sign-in: since when, when it was last seen, whether it may still enter.

    ``wiped_at`` is when the phone itself said that all it carried is destroyed.
    """

    id: int
    user_id: int
    who: str
    name: str
    paired_at: datetime
    paired_by: str
    last_seen_at: datetime
    signed_out_at: datetime | None = None
    signed_out_by: str = ""
    wiped_at: datetime | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pairing:
    """For whom a one-time code makes a phone, and who made the code."""

    technician_id: int
    technician: str
    firm_id: int
    phone_name: str
    made_by: str
