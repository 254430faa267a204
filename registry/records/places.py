"""A site: where it is, who lets you in, what can hurt."""

from dataclasses import dataclass, field
from datetime import date
from typing import NamedTuple


class LonLat(NamedTuple):
    """A place as longitude and latitude in degrees on WGS 84 (EPSG:4326)."""

    lon: float
    lat: float


@dataclass(frozen=True, slots=True)
class Box:
    """The bounding box of a jurisdiction, in degrees."""

    west: float
    south: float
    east: float
    north: float

    def holds(self, place: LonLat) -> bool:
        """Tell whether a place lies in the box, edges included."""
        return self.west <= place.lon <= self.east and self.south <= place.lat <= self.north


@dataclass(frozen=True, slots=True)
class Hazard:
    """What can hurt at a site; ``kind`` is one word, ``note`` says where and how."""

    kind: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class ServiceWindow:
    """Hours in which the owner opens, on one weekday (0 = Monday), in local minutes of the day."""

    weekday: int
    opens_min: int
    closes_min: int


@dataclass(frozen=True, slots=True)
class WindowException:
    """Other hours on one date; ``opens_min`` None = closed all day."""

    on_date: date
    opens_min: int | None = None
    closes_min: int | None = None
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """One place that is visited; private fields are listed in ``registry.privacy``.

    ``key`` is the firm's own site number. ``lon_lat`` None means "to be located". ``corner_note``
    says which corner all bearings and distances are measured from (the reference corner);
    ``corner_b_*`` place the second marked corner, for ties, from the first one.
    ``occupied_share`` is the part of a year in which the house is lived in; ``season_from`` and
    ``season_to`` ("MM-DD") bound a vacation house's season, empty for year-round use.
    ``merged_into_id`` is the record of the same site that holds instead of this one.
    """

    id: int = 0
    key: str
    firm_id: int = 0
    jurisdiction_id: int = 0
    lon_lat: LonLat | None = None
    position_source: str = ""
    position_accuracy_m: float | None = None
    address: str = ""
    town: str = ""
    parcel: str = ""
    access_note: str = ""
    gate_note: str = ""
    gate_code: str = ""
    private_note: str = ""
    hazards: tuple[Hazard, ...] = ()
    corner_note: str = ""
    corner_b_note: str = ""
    corner_b_bearing_deg: float | None = None
    corner_b_distance_ft: float | None = None
    owner_name: str = ""
    owner_phone: str = ""
    owner_email: str = ""
    owner_address: str = ""
    water_available_gal: float | None = None
    occupied_share: float = 1.0
    season_from: str = ""
    season_to: str = ""
    windows: tuple[ServiceWindow, ...] = ()
    exceptions: tuple[WindowException, ...] = ()
    note: str = ""
    active: bool = True
    merged_into_id: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Jurisdiction:
    """An authority with its rule set; ``ngvd29_to_navd88_ft`` None = no offset stated.

    ``hospital`` is the nearest one with its address and phone, "" = not on file.
    """

    id: int = 0
    name: str
    time_zone: str = "UTC"
    rule_set: str = ""
    box: Box | None = None
    ngvd29_to_navd88_ft: float | None = None
    pump_out_trigger: str = "MN"
    report_days: int | None = None
    hospital: str = ""


ALONE_MARGIN_MIN = 30
"""Minutes over time until the office is warned of who works alone; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Firm:
    """A service firm; it sees its own sites only.

    Every day it keeps one slot of ``keep_free_min`` free for an alarm call, over by
    ``keep_free_by_min`` (0 = none). Work beyond an even share costs ``even_work_percent``
    hundredths of driving (0 = nothing). ``daylight_only``: sites are worked at from sunrise to
    sunset. The office is warned of who works alone and hasn't reported ``alone_margin_min`` after
    it was time, 0 = never.
    """

    id: int = 0
    name: str
    yard: LonLat | None = None
    phone: str = ""
    keep_free_min: int = 0
    keep_free_by_min: int = 720
    even_work_percent: int = 0
    daylight_only: bool = True
    alone_margin_min: int = ALONE_MARGIN_MIN


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """A service agreement between a firm and the owner of a site."""

    id: int = 0
    site_id: int
    firm_id: int
    starts_on: date
    ends_on: date | None = None
    visits_a_year: float | None = None
    includes: tuple[str, ...] = field(default=())
    renewal: str = ""
    renews_on: date | None = None
