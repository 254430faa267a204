"""Loading of sand filters and mounds: gallons a day on a square foot, against published limits."""

from dataclasses import dataclass

from registry.hydraulics.ranges import need_above_zero, need_zero_or_more


@dataclass(frozen=True, slots=True)
class LoadingRule:
    """One published limit."""

    name: str
    limit_gpd_ft2: float
    source: str


LOADING_RULES = (
    LoadingRule("Washington, large systems", 1.0, "WAC 246-272B-06750 (4)"),
    LoadingRule("Oregon, sand filter", 1.25, "OAR 340-071-0295 (2)(a)"),
    LoadingRule("Oregon, bottomless after advanced treatment", 1.80, "OAR 340-071-0295 (2)(b)"),
)
"""Limits that differ: the permit says which holds."""


@dataclass(frozen=True, slots=True)
class Loading:
    """A loading and where it stands against each rule, in the order of `LOADING_RULES`."""

    loading_gpd_ft2: float
    share_of_limit: tuple[tuple[LoadingRule, float], ...]


def loading_gpd_ft2(flow_gpd: float, area_ft2: float) -> float:
    """Return the loading of an area.

    Parameters
    ----------
    flow_gpd
        Flow that reaches it, drain-back taken off. [US gal/d]
    area_ft2
        Area of sand or basal area. [ft²]

    Returns
    -------
    float
        Flow / area. [US gal/(d·ft²)]

    Raises
    ------
    RangeError
        If the flow is negative or the area not above zero.

    References
    ----------
    OAR 340-071-0295 (2): 450 gpd at 1.25 gpd/ft² are 360 ft².
    """
    need_zero_or_more(flow_gpd=flow_gpd)
    need_above_zero(area_ft2=area_ft2)
    return flow_gpd / area_ft2


def loading(flow_gpd: float, area_ft2: float) -> Loading:
    """Return the loading of an area beside each published limit.

    Parameters
    ----------
    flow_gpd
        Flow that reaches it. [US gal/d]
    area_ft2
        Area. [ft²]

    Returns
    -------
    Loading
        Loading, and its share of each limit (above 1 = over it).

    Raises
    ------
    RangeError
        As for `loading_gpd_ft2`.
    """
    value = loading_gpd_ft2(flow_gpd, area_ft2)
    return Loading(value, tuple((rule, value / rule.limit_gpd_ft2) for rule in LOADING_RULES))


def area_needed_ft2(flow_gpd: float, limit_gpd_ft2: float, least_ft2: float = 0.0) -> float:
    """Return the area that a flow needs at a loading limit.

    Parameters
    ----------
    flow_gpd
        Design flow. [US gal/d]
    limit_gpd_ft2
        Greatest loading. [US gal/(d·ft²)]
    least_ft2
        Area that a rule asks for whatever the flow. [ft²]

    Returns
    -------
    float
        Area. [ft²]

    Raises
    ------
    RangeError
        If a figure is negative or the limit not above zero.

    References
    ----------
    OAR 340-071-0295 (2): at least 360 ft² and flow / 1.25, or 250 ft² and flow / 1.80.
    """
    need_zero_or_more(flow_gpd=flow_gpd, least_ft2=least_ft2)
    need_above_zero(limit_gpd_ft2=limit_gpd_ft2)
    return max(flow_gpd / limit_gpd_ft2, least_ft2)


def area_per_hole_ft2(area_ft2: float, holes: int) -> float:
    """Return the area that one orifice serves.

    Parameters
    ----------
    area_ft2
        Area of the bed. [ft²]
    holes
        Orifices on it.

    Returns
    -------
    float
        Area a hole; Kitsap County asks for at most 6 ft² on sand, Minnesota's form 4 to 11. [ft²]

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    Kitsap County Policy 18 §2.4; University of Minnesota, "Pressure Distribution Design Worksheet":
    630 ft² on 63 holes.
    """
    need_above_zero(area_ft2=area_ft2, holes=holes)
    return area_ft2 / holes
