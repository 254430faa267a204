"""Flood hazard areas, base flood elevation lines, and what they mean for a site."""

from dataclasses import dataclass, field
from datetime import datetime

from registry.records.elevation import Elevation


@dataclass(frozen=True, slots=True, kw_only=True)
class FloodArea:
    """One flood hazard area with NFHL attributes.

    ``geometry`` is a shapely (multi)polygon in EPSG:4326.
    ``static_bfe`` is None where the layer holds a null (-9999, -8888). ``given`` keeps all
    attributes as published.
    """

    id: int = 0
    source_key: str = ""
    zone: str
    subtype: str = ""
    sfha: bool | None = None
    static_bfe: Elevation | None = None
    depth_ft: float | None = None
    geometry: object
    given: dict[str, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True, kw_only=True)
class BfeLine:
    """A base flood elevation line; ``geometry`` is a shapely (multi)linestring in EPSG:4326."""

    id: int = 0
    source_key: str = ""
    elevation: Elevation
    geometry: object


@dataclass(frozen=True, slots=True, kw_only=True)
class FloodFact:
    """What the flood layers say of one site. Not a flood determination.

    ``in_hazard_area``, ``below_bfe`` are None where unknown. ``zone`` is "" where no polygon covers
    the site. ``edge_m`` is the distance to the nearest edge of a hazard area [m], None where far.
    ``lowest_freeboard_ft`` is the least freeboard over the components with an elevation.
    ``unknown_why`` says in words why something is unknown.
    """

    site_id: int
    zone: str = ""
    subtype: str = ""
    in_hazard_area: bool | None = None
    near_edge: bool = False
    edge_m: float | None = None
    bfe: Elevation | None = None
    bfe_method: str = ""
    below_bfe: bool | None = None
    lowest_freeboard_ft: float | None = None
    lowest_component: str = ""
    unknown_why: str = ""
    flagged_at: datetime | None = None
