"""What a stage of a gauge puts under water."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum

from registry.records.places import LonLat
from registry.records.rivers import Gauge, Stage


@dataclass(frozen=True, slots=True, kw_only=True)
class PartUnder:
    """A component beside a river; ``stage_ft`` is the lowest stage that reaches it.

    ``stage_ft`` is None where ``why_unknown`` says why nothing is known.
    """

    site_id: int
    site: str
    system: str
    part: str
    kind: str
    elevation_ft: float | None
    datum: str
    stage_ft: float | None
    why_unknown: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteOnMap:
    """A site beside a river: its parts with the stages that put them under, the first one first."""

    site_id: int
    site: str
    lon_lat: LonLat
    parts: tuple[tuple[str, float], ...]


class RoadState(StrEnum):
    """Whether a road is closed by water; any water over it closes it."""

    CLOSED = "closed"
    MAY_CLOSE = "may close"
    OPEN = "open"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadUnder:
    """A low point of a road; ``over_ft`` is how far the water stands above it, below 0 = dry.

    ``stage_ft`` closes it, from ``may_close_ft`` on the water stands within a foot of it.
    """

    name: str
    state: RoadState
    over_ft: float | None = None
    stage_ft: float | None = None
    why_unknown: str = ""
    lon_lat: LonLat | None = None
    may_close_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HighWater:
    """One gauge at one stage; ``reached_at`` is when its forecast first stands so high.

    ``gauges`` are all that are known, ``stages`` this one's readings and forecast; the levels that
    are known reach from ``lowest_ft`` to ``highest_ft``, both None without any. ``by_half_foot``
    counts the components that go under within each half foot, by the stage where it begins.

    ``parts`` are under water, in the order in which they go under; ``next_parts`` follow while the
    river rises; ``unknown`` are to be measured. ``is_estimate`` where one slope stands for levels.
    """

    gauge: Gauge
    gauges: tuple[str, ...]
    stages: tuple[Stage, ...]
    stage_ft: float
    lowest_ft: float | None
    highest_ft: float | None
    by_half_foot: tuple[tuple[float, int], ...]
    surface_ft: float | None
    datum: str
    is_estimate: bool
    covered: bool
    reached_at: datetime | None
    n_parts: int
    n_sites: int
    parts: tuple[PartUnder, ...]
    next_parts: tuple[PartUnder, ...]
    roads: tuple[RoadUnder, ...]
    n_unknown: int
    unknown: tuple[PartUnder, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WaterReason:
    """What water does to a part, in words: ``at`` is when the forecast has it there.

    ``at`` None = the water comes within a foot of the part, by the forecast.
    """

    what: str
    part: str
    stage_ft: float
    at: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteBefore:
    """What to do at one site before the river is there.

    ``visit`` are reasons to go there before, none = no visit is pulled forward; ``hold`` are
    reasons to leave what is due, ``held_tasks``, until after the water. ``first_at`` is when the
    water reaches the first measured part, None = it comes within a foot of it; ``may_float`` tells
    of a tank that must not be pumped.
    """

    site_id: int
    site: str
    first_at: datetime | None
    visit: tuple[WaterReason, ...] = ()
    hold: tuple[str, ...] = ()
    held_tasks: tuple[str, ...] = ()
    may_float: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BeforeWater:
    """What to do before a forecast's water is there; ``peak_ft`` None = no forecast goes on.

    ``visit_on`` is the working day on which visits are pulled forward unless another is asked for,
    ``hold_until`` the one after the water; None where nobody works or nothing can be said. ``zone``
    is the firm's clock.
    """

    gauge: str
    peak_ft: float | None
    peak_at: datetime | None
    visit_on: date | None
    hold_until: date | None
    sites: tuple[SiteBefore, ...]
    heeds_forecast: bool
    zone: str
