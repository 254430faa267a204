"""Technicians, trucks, and the places outside that a route may call at."""

from dataclasses import dataclass, field
from datetime import date

from registry.records.places import LonLat


@dataclass(frozen=True, slots=True, kw_only=True)
class Licence:
    """A licence or certificate with its dates; ``valid_to`` None = no end known."""

    kind: str
    number: str = ""
    valid_from: date | None = None
    valid_to: date | None = None
    jurisdiction: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Truck:
    """A truck: water aboard, room for septage, and its limits on roads and bridges."""

    id: int = 0
    firm_id: int = 0
    name: str
    water_gal: float | None = None
    septage_gal: float | None = None
    hose_ft: float | None = None
    weight_lb: float | None = None
    height_ft: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Technician:
    """Who drives, from where, in which hours, allowed to do what.

    Times are local. [min after midnight]

    ``workdays`` are weekdays, 0 = Monday. ``home`` None = starts and ends at the firm's yard. Up to
    ``overtime_min`` may be worked after the shift; a minute of it costs ``overtime_percent``
    hundredths of a minute of driving. ``driving_percent`` None = no limit on the share of the shift
    that is driven. ``phone`` is for the office, empty = not on file.
    """

    id: int = 0
    firm_id: int = 0
    name: str
    initials: str
    home: LonLat | None = None
    shift_from_min: int = 8 * 60
    shift_to_min: int = 17 * 60
    lunch_from_min: int | None = 11 * 60
    lunch_to_min: int | None = 13 * 60 + 30
    lunch_min: int = 30
    overtime_min: int = 0
    overtime_percent: int = 200
    driving_percent: int | None = None
    workdays: tuple[int, ...] = (0, 1, 2, 3, 4)
    skills: tuple[str, ...] = ()
    licences: tuple[Licence, ...] = ()
    days_off: tuple[date, ...] = ()
    truck: Truck | None = None
    active: bool = True
    phone: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class FillPoint:
    """A place where a truck's water tank is filled; hours local, None = always open."""

    id: int = 0
    firm_id: int = 0
    name: str
    lon_lat: LonLat
    minutes: float = 12.0
    opens_min: int | None = None
    closes_min: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DisposalSite:
    """A place that takes septage, with its weekday hours (local)."""

    id: int = 0
    name: str
    lon_lat: LonLat
    opens_min: int | None = None
    closes_min: int | None = None
    weekdays: tuple[int, ...] = field(default=(0, 1, 2, 3, 4))
    note: str = ""
