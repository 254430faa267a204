"""What lists and maps show of due dates: rows of the due list, marks and squares of the map."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from registry.records.places import LonLat


@dataclass(frozen=True, slots=True, kw_only=True)
class DueRow:
    """One obligation in the due list; ``days_overdue`` is negative before the due date."""

    obligation_id: int
    site_id: int
    site: str
    system_id: int
    system: str
    kind: str
    task: str
    last_done: date | None
    due_on: date
    days_overdue: int
    grace_days: int
    rule: str
    source: str
    estimated: bool
    lon_lat: LonLat | None


@dataclass(frozen=True, slots=True, kw_only=True)
class DueMark:
    """One system on the map, by its obligation that is late first.

    ``share_passed`` is the share of the interval that has passed, above 1 past the due date, None
    where no date can be said. The flood fields are not a flood determination; None = unknown.
    """

    system_id: int
    site_id: int
    site: str
    lon_lat: LonLat | None
    kind: str
    task: str
    due_on: date | None
    days_overdue: int | None
    overdue: bool
    share_passed: float | None
    jurisdiction_id: int
    in_hazard_area: bool | None
    below_bfe: bool | None


@dataclass(frozen=True, slots=True)
class GridSquare:
    """One square of the map that stands for ``n`` systems, ``n_overdue`` of them past due."""

    centre: LonLat
    n: int
    n_overdue: int


@dataclass(frozen=True, slots=True)
class TileRows:
    """What one map tile shows: marks of single systems, or squares that stand for many."""

    marks: tuple[DueMark, ...] = ()
    squares: tuple[GridSquare, ...] = ()


NO_STATUS = ""
"""A permit without a status on file."""


class AgreementState(StrEnum):
    """How a site stands with its service agreement on a date."""

    IN_FORCE = "in force"
    LAPSED = "lapsed"
    NONE = "none on file"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueFilter:
    """Which systems a map, list, file or count shows; None and empty = all.

    ``late_days`` 0 = overdue by any number of days; ``task`` looks at that task of each system,
    whatever is due first; ``in_hazard_area`` and ``below_bfe`` ask for the flood layers' answer,
    ``flood_zone`` for the published zone; ``permit_status`` is what is on file, ``NO_STATUS`` where
    nothing is. ``serious_open`` = with a serious finding that is not mended.
    """

    late_days: int | None = None
    task: str = ""
    kinds: tuple[str, ...] = ()
    in_hazard_area: bool | None = None
    flood_zone: str = ""
    below_bfe: bool | None = None
    town: str = ""
    permit_status: str | None = None
    agreement: AgreementState | None = None
    serious_open: bool = False
    jurisdiction_id: int | None = None
    firm_id: int | None = None

    @property
    def is_plain(self) -> bool:
        """Whether it asks for nothing but lateness and whose systems."""
        return self == DueFilter(
            late_days=self.late_days, jurisdiction_id=self.jurisdiction_id, firm_id=self.firm_id
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class FilterChoices:
    """What is on file to choose from in a filter."""

    towns: tuple[str, ...]
    permit_statuses: tuple[str, ...]
    flood_zones: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SavedView:
    """Filters under a name that a sign-in gave; ``asked`` as in ``records.filter_text``."""

    id: int
    name: str
    asked: dict[str, str]
