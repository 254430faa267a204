"""Onsite systems and their components."""

from dataclasses import dataclass, field
from datetime import date
from enum import StrEnum

from registry.records.elevation import Elevation
from registry.records.places import LonLat


class SystemKind(StrEnum):
    """Kinds of onsite systems, by the trade's terms."""

    GRAVITY = "gravity"
    PUMP_TO_GRAVITY = "pump to gravity"
    PRESSURE = "pressure distribution"
    MOUND = "mound"
    AT_GRADE = "at-grade"
    SAND_FILTER = "sand filter"
    SECONDARY = "secondary treatment"
    HOLDING_TANK = "holding tank"
    CESSPOOL = "cesspool"
    UNKNOWN = "unknown"


class ComponentKind(StrEnum):
    """Kinds of components, by the trade's terms."""

    SEPTIC_TANK = "septic tank"
    PUMP_TANK = "pump tank"
    EFFLUENT_FILTER = "effluent filter"
    PUMP = "pump"
    FLOATS = "floats"
    CONTROL_PANEL = "control panel"
    DISCONNECT = "disconnect"
    MANIFOLD = "manifold"
    LATERALS = "laterals"
    BALANCING_VALVE = "balancing valve"
    PURGE_END = "purge end"
    MONITORING_WELL = "monitoring well"
    LID = "lid"
    DISTRIBUTION_BOX = "distribution box"
    SAND_FILTER = "sand filter"
    MOUND = "mound"
    AT_GRADE = "at-grade"
    DRAINFIELD = "drainfield"
    TREATMENT_UNIT = "treatment unit"
    VENT = "vent"
    CLEANOUT = "cleanout"
    OTHER = "other"


@dataclass(frozen=True, slots=True, kw_only=True)
class Component:
    """One part of a system and where it is.

    Place: ``bearing_deg`` (true north) and ``distance_ft`` from the reference corner, or two ties
    ``tie_a_ft``/``tie_b_ft`` (distances to the reference corner and to the second corner), or
    ``lon_lat``, whose ``position_source`` says how it is known. ``count``, ``length_ft``,
    ``pipe_in``, ``orifice_in`` and ``spacing_ft`` describe laterals; ``turns_open`` a balancing
    valve; ``capacity_gal`` and ``gal_per_in`` tanks.
    ``details`` holds whatever else the source said, in its own words.
    """

    id: int = 0
    system_id: int = 0
    kind: ComponentKind
    label: str = ""
    bearing_deg: float | None = None
    distance_ft: float | None = None
    tie_a_ft: float | None = None
    tie_b_ft: float | None = None
    lon_lat: LonLat | None = None
    position_source: str = ""
    position_accuracy_m: float | None = None
    cover_in: float | None = None
    elevation: Elevation | None = None
    count: int | None = None
    length_ft: float | None = None
    pipe_in: float | None = None
    orifice_in: float | None = None
    spacing_ft: float | None = None
    turns_open: float | None = None
    capacity_gal: float | None = None
    gal_per_in: float | None = None
    has_riser: bool | None = None
    details: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class PermitCondition:
    """A permit condition (stricter) or a waiver (looser) for one task of one system."""

    task: str
    months: int
    citation: str
    is_waiver: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class System:
    """One onsite system; ``kind_as_given`` keeps the source's own word."""

    id: int = 0
    site_id: int = 0
    key: str = ""
    kind: SystemKind = SystemKind.UNKNOWN
    kind_as_given: str = ""
    permit_no: str = ""
    permit_status: str = ""
    design_flow_gpd: float | None = None
    bedrooms: float | None = None
    people: float | None = None
    installed_on: date | None = None
    rule_set: str = ""
    components: tuple[Component, ...] = ()
    conditions: tuple[PermitCondition, ...] = ()
