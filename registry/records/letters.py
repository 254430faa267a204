"""Letters to owners of overdue systems."""

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Letter:
    """One letter as it was written; only who wrote it reads more than its date and sender."""

    site_id: int
    site: str
    written_on: date
    sender_name: str
    to_name: str = ""
    to_address: str = ""
    body: str = ""
