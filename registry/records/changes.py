"""The change history, counts of an import, and a user of the registry."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum


class Role(StrEnum):
    """Who may see and do what; rights stand in ``registry.privacy``."""

    DISPATCHER = "dispatcher"
    TECHNICIAN = "technician"
    COUNTY = "county"
    ADMINISTRATOR = "administrator"


@dataclass(frozen=True, slots=True, kw_only=True)
class Viewer:
    """Who is asking: every reading service takes one and filters by it.

    ``firm_id`` for a firm's people; ``jurisdiction_ids`` for county staff; ``technician_id`` ties a
    technician to their own routes.
    """

    name: str
    role: Role
    user_id: int = 0
    firm_id: int | None = None
    jurisdiction_ids: tuple[int, ...] = ()
    technician_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One field changed by a person or an import: who, when, what it was before and is after.

    ``id`` is 0 until the line is kept.
    """

    id: int = 0
    at: datetime
    who: str
    source: str
    kind: str
    row_id: str
    site_id: int | None
    field: str
    before: str
    after: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportCounts:
    """What an import did; ``read`` = added + changed + unchanged + rejected."""

    read: int
    added: int
    changed: int
    unchanged: int
    rejected: int
    rejects_file: str | None = None
    warnings: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
