"""Where each component is, as one walks to it from the reference corner."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from enum import StrEnum

from registry.errors import RangeError
from registry.field.ties import Spot, meet_ties, spot_on_side
from registry.records.places import LonLat, Site
from registry.records.systems import Component, ComponentKind
from registry.units import FT_PER_PACE, ft_from_m

DISAGREE_FT = 5.0
"""Ties and bearing of one part that lie further apart are said; common practice, no source."""

PHONE_FT = 16
"""Radius to which a phone finds a position under open sky: 4.9 m, GPS.gov, "GPS Accuracy", as
quoted elsewhere; worse beside trees and walls."""

_EITHER_SIDE = "Either side: two ties leave two places. Note the side once found."

WALK = (
    *(ComponentKind.CONTROL_PANEL, ComponentKind.DISCONNECT, ComponentKind.SEPTIC_TANK),
    *(ComponentKind.EFFLUENT_FILTER, ComponentKind.PUMP_TANK, ComponentKind.PUMP),
    *(ComponentKind.FLOATS, ComponentKind.TREATMENT_UNIT, ComponentKind.LID),
    *(ComponentKind.CLEANOUT, ComponentKind.VENT, ComponentKind.DISTRIBUTION_BOX),
    *(ComponentKind.MANIFOLD, ComponentKind.BALANCING_VALVE, ComponentKind.LATERALS),
    *(ComponentKind.PURGE_END, ComponentKind.MONITORING_WELL, ComponentKind.MOUND),
    *(ComponentKind.AT_GRADE, ComponentKind.SAND_FILTER, ComponentKind.DRAINFIELD),
    ComponentKind.OTHER,
)
"""The order in which parts are numbered: power first, then as the water flows."""


class Method(StrEnum):
    """How a part's place is known."""

    MEASURED = "bearing and distance"
    TIES = "two ties"
    POSITION = "position"
    NONE = "not placed"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlacedPart:
    """A component with its place from the reference corner.

    ``bearing_deg`` (true north) and ``distance_ft`` are None where they are not known; ``note``
    then says why. ``other_bearing_deg`` is the second place, at the same distance, that two ties
    without a stated side leave open. ``freeboard_ft`` is the height above the base flood
    elevation, None where unknown, and ``freeboard_why`` says why.
    """

    number: int
    label: str
    component: Component
    method: Method
    bearing_deg: float | None = None
    distance_ft: float | None = None
    other_bearing_deg: float | None = None
    note: str = ""
    freeboard_ft: float | None = None
    freeboard_why: str = ""

    @property
    def paces(self) -> int | None:
        """The distance in whole paces."""
        return None if self.distance_ft is None else round(self.distance_ft / FT_PER_PACE)


def place_parts(
    site: Site, components: Iterable[Component], corner: LonLat | None = None
) -> tuple[PlacedPart, ...]:
    """Return every component with its place, numbered in the order of the walk.

    Parameters
    ----------
    site
        Tells where the second marked corner is.
    components
        The components of the site's systems.
    corner
        The reference corner's own position, where it was surveyed; a component that has a position
        only can be paced to from nowhere else.

    Returns
    -------
    tuple[PlacedPart, ...]
        As many as there are components; a place that cannot be worked out is told in ``note``.
    """
    ordered = sorted(components, key=lambda one: (WALK.index(one.kind), one.system_id))
    return tuple(
        _placed(number, component, site, corner) for number, component in enumerate(ordered, 1)
    )


def part_label(component: Component) -> str:
    """Return what a component is called: its kind, and its own label where that says more."""
    own = component.label.strip()
    if not own:
        return component.kind.value
    return own if component.kind.value in own.lower() else f"{component.kind.value}: {own}"


def _placed(number: int, component: Component, site: Site, corner: LonLat | None) -> PlacedPart:
    method, spots, note = _spots(component, site, corner)
    spot = spots[0] if spots else None
    other = spots[1] if len(spots) > 1 else None
    return PlacedPart(
        number=number,
        label=part_label(component),
        component=component,
        method=method,
        bearing_deg=spot.bearing_deg if spot else None,
        distance_ft=spot.distance_ft if spot else None,
        other_bearing_deg=other.bearing_deg if other else None,
        note=note,
    )


def _spots(
    component: Component, site: Site, corner: LonLat | None
) -> tuple[Method, tuple[Spot, ...], str]:
    """Return how a part is placed, its spot (two where either side is possible) and a note."""
    measured = _measured(component)
    try:
        tied = _tied(component, site)
    except RangeError as wrong:
        if measured is None:
            return Method.NONE, (), str(wrong)
        return Method.MEASURED, (measured,), f"The ties are wrong. {wrong}"
    if measured is not None:
        return Method.MEASURED, (measured,), _disagreement(measured, tied)
    if tied:
        return Method.TIES, tied, _EITHER_SIDE if len(tied) > 1 else ""
    if component.lon_lat is not None:
        return _from_position(component.lon_lat, corner)
    return Method.NONE, (), _what_is_missing(component)


def _measured(component: Component) -> Spot | None:
    bearing_deg, distance_ft = component.bearing_deg, component.distance_ft
    if bearing_deg is None or distance_ft is None:
        return None
    if not (math.isfinite(bearing_deg) and math.isfinite(distance_ft)) or distance_ft < 0:
        return None
    return Spot(bearing_deg % 360, distance_ft)


def _tied(component: Component, site: Site) -> tuple[Spot, ...]:
    if component.tie_a_ft is None or component.tie_b_ft is None:
        return ()
    if site.corner_b_bearing_deg is None or site.corner_b_distance_ft is None:
        return ()
    spots = meet_ties(
        component.tie_a_ft, component.tie_b_ft, site.corner_b_bearing_deg, site.corner_b_distance_ft
    )
    side = component.details.get("side", "")
    chosen = spot_on_side(spots, side, component.bearing_deg)
    return spots if chosen is None else (chosen,)


def _disagreement(measured: Spot, tied: tuple[Spot, ...]) -> str:
    if not tied:
        return ""
    apart_ft = min(measured.apart_ft(spot) for spot in tied)
    if apart_ft <= DISAGREE_FT:
        return ""
    return f"Its ties lead to a place {apart_ft:.0f} ft away from this one. Measure again."


def _what_is_missing(component: Component) -> str:
    ties = (component.tie_a_ft, component.tie_b_ft)
    if ties == (None, None):
        return "Its place is not on file. Measure bearing and distance, or two ties."
    if None in ties:
        return "One tie is on file, the other is missing. Measure from both corners."
    return "The second corner's bearing and distance are not on file, so the ties lead nowhere."


def _from_position(lon_lat: LonLat, corner: LonLat | None) -> tuple[Method, tuple[Spot, ...], str]:
    if corner is None:
        said = f"{lon_lat.lat:.6f}, {lon_lat.lon:.6f}"
        return (
            Method.NONE,
            (),
            f"Known by position only ({said}, latitude first). A phone finds it to "
            f"about {PHONE_FT} ft at best.",
        )
    return Method.POSITION, (_geodesic(corner, lon_lat),), ""


def _geodesic(corner: LonLat, lon_lat: LonLat) -> Spot:
    """Return the bearing and distance between two positions, on the WGS 84 ellipsoid."""
    from pyproj import Geod

    turn, _, apart_m = Geod(ellps="WGS84").inv(corner.lon, corner.lat, lon_lat.lon, lon_lat.lat)
    return Spot(turn % 360, ft_from_m(apart_m))
