"""What lists and maps show of due dates: rows of the due list, marks and squares of the map."""

from dataclasses import dataclass
from datetime import date

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


@dataclass(frozen=True, slots=True, kw_only=True)
class DueFilter:
    """Which systems a map or list shows; None and empty = all.

    ``late_days`` 0 = overdue by any number of days; ``in_hazard_area`` asks for the flood layers'
    answer.
    """

    late_days: int | None = None
    kinds: tuple[str, ...] = ()
    in_hazard_area: bool | None = None
    jurisdiction_id: int | None = None
    firm_id: int | None = None
