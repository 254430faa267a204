"""Reports of visits: to whom they are owed, by when, and that they were sent; findings mended."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from registry.records.gate_visit import Finding


class ReportTo(StrEnum):
    """Who gets the report of a visit."""

    AUTHORITY = "authority"
    OWNER = "owner"


class SentBy(StrEnum):
    """How a report went out."""

    POST = "post"
    EMAIL = "e-mail"
    PORTAL = "portal"
    BY_HAND = "by hand"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportRule:
    """What a rule set asks after a visit; exactly one of ``days``, ``hours``, ``mend_days`` is set.

    ``days`` after the visit its report must be with ``to``; ``tasks`` empty = after every visit,
    else after one at which such a task was done. ``hours`` after a finding ``to`` must know of it,
    and within ``mend_days`` it must be mended; ``seriousness`` says of which findings.
    ``rule_set`` "" = everywhere; "WA" holds for "WA-CLARK" too.
    """

    code: str
    rule_set: str = ""
    to: ReportTo = ReportTo.AUTHORITY
    days: int | None = None
    hours: float | None = None
    mend_days: int | None = None
    tasks: tuple[str, ...] = ()
    seriousness: tuple[str, ...] = ()
    citation: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportSent:
    """One note that the report of a visit was sent; append-only.

    A note made by mistake is taken back by another that names it in ``takes_back``.
    """

    id: int = 0
    visit_id: str
    to: ReportTo
    sent_on: date
    how: SentBy
    note: str = ""
    noted_by: str = ""
    noted_at: datetime | None = None
    takes_back: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingMended:
    """One note that a finding was mended; append-only, ``takes_back`` as for a report."""

    id: int = 0
    finding_id: str
    mended_on: date
    note: str = ""
    noted_by: str = ""
    noted_at: datetime | None = None
    takes_back: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Deadline:
    """By when a report is due and where that is written; both None = no date is on file.

    ``at`` is a moment that hours after a finding set, ``on_date`` a day, in which it may come until
    midnight. ``citation`` is empty where nothing is on file.
    """

    on_date: date | None = None
    at: datetime | None = None
    citation: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportState:
    """How the report of a visit to ``to`` stands.

    ``sent`` None = still owed; then ``days_late`` says how many days ago it was due, below 0 how
    many are left, None = no date is on file. ``sent_before`` is when a report went out that was
    corrected since.
    """

    to: ReportTo
    deadline: Deadline
    sent: ReportSent | None = None
    days_late: int | None = None
    sent_before: date | None = None

    @property
    def is_overdue(self) -> bool:
        """Whether it is owed and its day has passed."""
        return self.sent is None and (self.days_late or 0) > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportOwed:
    """A visit whose report is owed, and how that stands."""

    visit_id: str
    site_id: int
    site: str
    place: str
    jurisdiction: str
    time_zone: str
    on_date: date
    state: ReportState


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingOpen:
    """A finding that is not mended yet; ``citation`` says who sets ``mend_by``.

    ``days_late`` as for a report.
    """

    finding: Finding
    site: str
    place: str
    jurisdiction: str
    found_on: date
    mend_by: date | None
    citation: str
    days_late: int | None
