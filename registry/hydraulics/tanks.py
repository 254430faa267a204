"""Volumes of tanks."""

import math

from registry.errors import RangeError
from registry.hydraulics.practice import TANK_FIRST_SHARE
from registry.hydraulics.ranges import (
    FloatArray,
    answer,
    need_above_zero,
    need_share,
    need_zero_or_more,
)
from registry.units import GAL_PER_FT3, IN3_PER_GAL

WATER_LB_PER_FT3 = 62.4
"""Weight of fresh water. [lb/ft³]"""


def rectangular_gal_per_in[N: (float, FloatArray)](length_in: N | float, width_in: N | float) -> N:
    """Return the volume of one inch of depth in a rectangular tank.

    Parameters
    ----------
    length_in
        Inside length. [in]
    width_in
        Inside width. [in]

    Returns
    -------
    float or (n,) array
        Length × width / 231. [US gal/in]

    Raises
    ------
    RangeError
        If a side is not above zero.

    References
    ----------
    Geometry; 1 gal = 231 in³. Trade sheets that take 7.5 gal/ft³ come out 0.26 % higher.
    """
    need_above_zero(length_in=length_in, width_in=width_in)
    return answer(length_in * width_in / IN3_PER_GAL)


def round_gal_per_in[N: (float, FloatArray)](diameter_in: N) -> N:
    """Return the volume of one inch of depth in a round upright tank.

    Parameters
    ----------
    diameter_in
        Inside diameter. [in]

    Returns
    -------
    float or (n,) array
        Volume. [US gal/in]

    Raises
    ------
    RangeError
        If the diameter is not above zero.

    References
    ----------
    Geometry; 1 gal = 231 in³.
    """
    need_above_zero(diameter_in=diameter_in)
    return answer(math.pi / 4 * diameter_in**2 / IN3_PER_GAL)


def tank_volume_gal[N: (float, FloatArray)](depth_in: N | float, gal_per_in: N | float) -> N:
    """Return the volume of a depth of liquid in a tank with upright walls.

    Parameters
    ----------
    depth_in
        Depth of the liquid. [in]
    gal_per_in
        Volume of one inch of depth. [US gal/in]

    Returns
    -------
    float or (n,) array
        Volume. [US gal]

    Raises
    ------
    RangeError
        If a figure is negative.
    """
    need_zero_or_more(depth_in=depth_in, gal_per_in=gal_per_in)
    return answer(depth_in * gal_per_in)


def lying_cylinder_gal(diameter_in: float, length_in: float, depth_in: float) -> float:
    """Return the volume of liquid in a cylinder that lies on its side, flat ends, part full.

    Parameters
    ----------
    diameter_in
        Inside diameter. [in]
    length_in
        Inside length. [in]
    depth_in
        Depth of the liquid at its deepest. [in]

    Returns
    -------
    float
        Circular segment × length. [US gal]

    Raises
    ------
    RangeError
        If a size is not above zero, or the depth is negative or above the diameter.

    References
    ----------
    Geometry: segment area r²·acos((r − h)/r) − (r − h)·√(2rh − h²).
    """
    need_above_zero(diameter_in=diameter_in)
    return lying_ellipse_gal(diameter_in, diameter_in, length_in, depth_in)


def lying_ellipse_gal(
    width_in: float, height_in: float, length_in: float, depth_in: float
) -> float:
    """Return the volume of liquid in a lying tank whose cross-section is an ellipse, part full.

    Parameters
    ----------
    width_in
        Greatest inside width. [in]
    height_in
        Inside height. [in]
    length_in
        Inside length. [in]
    depth_in
        Depth of the liquid at its deepest. [in]

    Returns
    -------
    float
        Segment of the ellipse × length. [US gal]

    Raises
    ------
    RangeError
        If a size is not above zero, or the depth is negative or above the height.

    References
    ----------
    Geometry: an ellipse is a circle of its height, drawn out sideways by width / height.
    """
    need_above_zero(width_in=width_in, height_in=height_in, length_in=length_in)
    _need_depth(depth_in, height_in)
    radius, over = height_in / 2, height_in / 2 - depth_in
    segment = radius**2 * math.acos(over / radius) - over * math.sqrt(radius**2 - over**2)
    return segment * width_in / height_in * length_in / IN3_PER_GAL


def lying_ellipse_gal_per_in(
    width_in: float, height_in: float, length_in: float, depth_in: float
) -> float:
    """Return the volume of one inch of depth in a lying tank, at a depth.

    Parameters
    ----------
    width_in
        Greatest inside width; the height again for a round tank. [in]
    height_in
        Inside height. [in]
    length_in
        Inside length. [in]
    depth_in
        Depth of the liquid at its deepest. [in]

    Returns
    -------
    float
        Width of the water × length; differs from depth to depth. [US gal/in]

    Raises
    ------
    RangeError
        As for `lying_ellipse_gal`.

    References
    ----------
    Geometry: chord 2·√(h·(H − h)) · W/H.
    """
    need_above_zero(width_in=width_in, height_in=height_in, length_in=length_in)
    _need_depth(depth_in, height_in)
    chord = 2 * math.sqrt(depth_in * (height_in - depth_in)) * width_in / height_in
    return chord * length_in / IN3_PER_GAL


def _need_depth(depth_in: float, height_in: float) -> None:
    need_zero_or_more(depth_in=depth_in)
    if depth_in > height_in:
        raise RangeError(
            f"depth_in is {depth_in:g}: a tank {height_in:g} in high holds no more than that"
        )


def compartments_gal(
    liquid_gal: float, first_share: float = TANK_FIRST_SHARE
) -> tuple[float, float]:
    """Return how the liquid of a two-compartment tank is split.

    Parameters
    ----------
    liquid_gal
        Liquid volume of both. [US gal]
    first_share
        Share of the first compartment; common practice is two thirds. [-]

    Returns
    -------
    tuple of float
        First and second compartment. [US gal]

    Raises
    ------
    RangeError
        If the volume is negative or the share outside 0 to 1.

    References
    ----------
    2 to 1: common practice, no source. WAC 246-272A-0232 (2005 text) allows 1/2 to 2/3.
    """
    need_zero_or_more(liquid_gal=liquid_gal)
    need_share(first_share=first_share)
    return liquid_gal * first_share, liquid_gal * (1 - first_share)


def water_over_pump_gal(pump_in: float, cover_in: float, gal_per_in: float) -> float:
    """Return the volume that stays in a pump tank to cover the pump.

    Parameters
    ----------
    pump_in
        Height of the pump with its block. [in]
    cover_in
        Water kept over the pump. [in]
    gal_per_in
        Volume of one inch of depth. [US gal/in]

    Returns
    -------
    float
        Volume. [US gal]

    Raises
    ------
    RangeError
        If a figure is negative.

    References
    ----------
    University of Minnesota, "Pump Tank Design Worksheet": (16 + 2) in × 25.5 gal/in.
    """
    need_zero_or_more(pump_in=pump_in, cover_in=cover_in)
    return tank_volume_gal(pump_in + cover_in, gal_per_in)


def pump_tank_gal(cover_gal: float, dose_gal: float, alarm_gal: float, reserve_gal: float) -> float:
    """Return the volume that a pump tank must hold.

    Parameters
    ----------
    cover_gal
        Volume that covers the pump. [US gal]
    dose_gal
        Volume between pump-off and pump-on. [US gal]
    alarm_gal
        Volume between pump-on and alarm. [US gal]
    reserve_gal
        Volume between alarm and inlet. [US gal]

    Returns
    -------
    float
        Sum. [US gal]

    Raises
    ------
    RangeError
        If a volume is negative.

    References
    ----------
    "Onsite Arithmetic", pump math part 2, answers, trade journal, October 2016.
    """
    need_zero_or_more(cover_gal=cover_gal, dose_gal=dose_gal)
    need_zero_or_more(alarm_gal=alarm_gal, reserve_gal=reserve_gal)
    return cover_gal + dose_gal + alarm_gal + reserve_gal


def uplift_lbf(displaced_gal: float) -> float:
    """Return the force with which water in the ground pushes an empty tank up.

    Parameters
    ----------
    displaced_gal
        Volume of water that the tank displaces. [US gal]

    Returns
    -------
    float
        Force, before the weight of tank and cover is taken off. [lbf]

    Raises
    ------
    RangeError
        If the volume is negative.

    References
    ----------
    Archimedes; water at 62.4 lb/ft³.
    """
    need_zero_or_more(displaced_gal=displaced_gal)
    return displaced_gal / GAL_PER_FT3 * WATER_LB_PER_FT3
