"""What is known of rivers: gauges, their profiles and lines, and low points of roads."""

from dataclasses import dataclass
from datetime import datetime

from registry.records.elevation import Elevation
from registry.records.places import LonLat


@dataclass(frozen=True, slots=True, kw_only=True)
class Gauge:
    """A gauge; ``zero`` is the elevation of stage zero, None where it is not known."""

    id: int = 0
    name: str
    river: str = ""
    station_mi: float | None = None
    zero: Elevation | None = None
    slope_ft_per_mi: float | None = None
    credit: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stage:
    """One stage of a gauge, read or forecast."""

    at: datetime
    stage_ft: float
    is_forecast: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class RiverNow:
    """How a gauge stands: its name, the last stage that was read, the highest that is forecast."""

    gauge: str
    read: Stage | None
    to_come: Stage | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LowPoint:
    """The lowest place of a stretch of road; ``elevation`` is None until it was measured."""

    id: int = 0
    name: str
    lon_lat: LonLat
    elevation: Elevation | None = None
    source: str = ""
