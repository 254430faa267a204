"""Reports of visits that other firms made, as they came in, and who is licensed to make them."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum
from typing import NamedTuple


class Wrong(NamedTuple):
    """One thing that keeps a report from being taken: at which field, what, what to do."""

    field: str
    wrong: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Licensed:
    """A person or firm on an authority's list; ``valid_to`` None = no end known.

    ``jurisdiction_id`` None = everywhere. ``kind`` "" = whatever a task asks for.
    """

    id: int = 0
    jurisdiction_id: int | None = None
    number: str
    kind: str = ""
    firm: str = ""
    person: str = ""
    valid_from: date | None = None
    valid_to: date | None = None

    def is_valid_on(self, day: date) -> bool:
        """Tell whether the licence was valid on a day, its first and last included."""
        begun = self.valid_from is None or self.valid_from <= day
        return begun and (self.valid_to is None or day <= self.valid_to)


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenReport:
    """A report as a row of a file or a form gives it.

    The system is named by its site's number or its permit, or both. ``readings`` are what was read
    as text, by kind. ``findings`` are kinds of findings, ``mended`` those of earlier ones that are
    mended, or "all". ``answer`` is what the firm said when asked about an unlikely value.
    """

    site: str = ""
    permit_no: str = ""
    system: str = ""
    on_date: date | None = None
    received_on: date | None = None
    firm: str = ""
    person: str = ""
    licence: str = ""
    tasks: tuple[str, ...] = ()
    readings: dict[str, str] = field(default_factory=dict)
    findings: tuple[str, ...] = ()
    seriousness: str = ""
    finding_note: str = ""
    mended: tuple[str, ...] = ()
    answer: str = ""


class CameBy(StrEnum):
    """How a report came in."""

    FILE = "file"
    FORM = "form"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportIn:
    """One report that was taken in; append-only, the visit that it tells of is stored beside it.

    ``source`` is the file's name. ``taken_back_at`` None = it stands.
    """

    visit_id: str
    site_id: int
    site: str = ""
    on_date: date
    firm: str
    person: str = ""
    licence: str
    received_on: date
    came_by: CameBy
    source: str = ""
    taken_in_by: str = ""
    taken_in_at: datetime
    taken_back_at: datetime | None = None
    taken_back_by: str = ""
    why_taken_back: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class LateReport:
    """One report that came after its day, or is owed and late; ``came_on`` None = it is missing."""

    firm: str
    visit_id: str
    site_id: int
    site: str
    visited_on: date
    due_on: date
    came_on: date | None
    days_late: int
    citation: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FirmReports:
    """How one firm's reports to the authority stand over a time.

    ``n_undated`` came in where no rule sets a day. ``n_missing`` are visits whose report is owed
    and late; ``worst_days`` is how many days the latest of the late came, or is, after its day.
    """

    firm: str
    n_in_time: int = 0
    n_late: int = 0
    n_undated: int = 0
    n_owed: int = 0
    n_missing: int = 0
    worst_days: int = 0
