"""An imported road network, and the conditions under which a firm drives on it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import datetime
from types import MappingProxyType

from registry.records.closures import Closure
from registry.records.crew import Truck
from registry.records.places import Box

GRAVEL, PRIVATE = "gravel", "private"
SPEED_CLASSES = (
    "motorway",
    "motorway_link",
    "trunk",
    "trunk_link",
    "primary",
    "primary_link",
    "secondary",
    "secondary_link",
    "tertiary",
    "tertiary_link",
    "unclassified",
    "residential",
    "road",
    "living_street",
    "service",
    "track",
    GRAVEL,
    PRIVATE,
)
"""What a firm may set a speed for: OpenStreetMap's classes of roads (lanes and drives are
``service``), and two that cut across them, unpaved roads and roads that are private."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkInfo:
    """One built road network.

    ``revision`` names its folder and changes with the file's content and the tools' versions;
    ``digest`` is the file's SHA-256. ``engine`` is the word for what answers: ``osrm`` or
    ``dijkstra``; ``why_not_osrm`` says why, empty for ``osrm``. ``ways`` counts the drivable ways
    (service roads and tracks included), ``length_km`` their length, ``missing_nodes`` the places of
    ways that the file does not hold (a cut-out has some at its edge), ``joined_share`` the share of
    the junctions from which every other one can be reached and back (0 to 1). ``credit`` must
    stand on every map drawn from it. ``themes`` names the base map's layers.
    """

    revision: str
    source_file: str
    digest: str
    built_at: datetime
    credit: str
    engine: str
    engine_version: str
    why_not_osrm: str = ""
    ways: int = 0
    junctions: int = 0
    stretches: int = 0
    length_km: float = 0.0
    missing_nodes: int = 0
    joined_share: float = 0.0
    box: Box
    themes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class VehicleLimits:
    """What a truck must keep to on roads and under bridges; None = not known, so not checked."""

    weight_lb: float | None = None
    height_ft: float | None = None

    @classmethod
    def of(cls, truck: Truck | None) -> "VehicleLimits | None":
        """Return a truck's limits, None where neither its weight nor its height is known."""
        if truck is None or (truck.weight_lb is None and truck.height_ft is None):
            return None
        return cls(weight_lb=truck.weight_lb, height_ft=truck.height_ft)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoadConditions:
    """What a firm knows about its roads beyond the map: closed stretches, and how fast it drives.

    ``speeds_mph`` maps a road class, or ``gravel`` or ``private``, to a speed on the open stretch;
    what it does not name is driven as the engine has it.
    """

    closures: tuple[Closure, ...] = ()
    speeds_mph: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))


@dataclass(frozen=True, slots=True, kw_only=True)
class NamedStretch:
    """A piece of a road by name: from one place to another, each a cross street or a position.

    An empty ``begins`` and ``ends`` mean the whole road. A position is written ``LON,LAT``.
    """

    road: str
    begins: str = ""
    ends: str = ""
