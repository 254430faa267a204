"""Sizes and volumes of plastic pipe."""

import math
from dataclasses import dataclass
from enum import StrEnum

from registry.errors import RangeError
from registry.hydraulics.ranges import FloatArray, answer, need_above_zero, need_zero_or_more
from registry.units import IN3_PER_GAL, IN_PER_FT


class PipeSeries(StrEnum):
    """The two wall series of the trade's small plastic pipe."""

    SCHEDULE_40 = "Schedule 40"
    SDR_21 = "SDR 21 (Class 200)"


@dataclass(frozen=True, slots=True)
class PipeSize:
    """One nominal size: outside diameter and least walls, in inches."""

    nominal_in: float
    outside_in: float
    schedule_40_wall_in: float
    sdr_21_wall_in: float

    def inside_in(self, series: PipeSeries) -> float:
        """Return the inside diameter by the least wall, in inches."""
        is_40 = series is PipeSeries.SCHEDULE_40
        return self.outside_in - 2 * (self.schedule_40_wall_in if is_40 else self.sdr_21_wall_in)


PIPE_SIZES = {
    size.nominal_in: size
    for size in (
        PipeSize(1.0, 1.315, 0.133, 0.063),
        PipeSize(1.25, 1.660, 0.140, 0.079),
        PipeSize(1.5, 1.900, 0.145, 0.090),
        PipeSize(2.0, 2.375, 0.154, 0.113),
        PipeSize(3.0, 3.500, 0.216, 0.167),
        PipeSize(4.0, 4.500, 0.237, 0.214),
    )
}
"""Nominal size in inches → diameters. Outside diameters and Schedule 40 walls as published by
makers of PVC pipe; SDR 21 walls are outside diameter / 21 (ASTM D2241, from memory)."""

FORM_GAL_PER_FT = {1.0: 0.045, 1.25: 0.078, 1.5: 0.110, 2.0: 0.170, 3.0: 0.380, 4.0: 0.661}
"""Nominal size in inches → gallons per foot, as the University of Minnesota's form prints them; up
to 4 % from the true geometry."""


def inside_diameter_in(nominal_in: float, series: PipeSeries = PipeSeries.SCHEDULE_40) -> float:
    """Return the inside diameter of a nominal pipe size.

    Parameters
    ----------
    nominal_in
        Nominal size: 1, 1.25, 1.5, 2, 3 or 4. [in]
    series
        Wall series.

    Returns
    -------
    float
        Outside diameter less two least walls; makers' average inside diameters are up to 0.03 in
        smaller, which raises friction by 4 to 8 %. [in]

    Raises
    ------
    RangeError
        If the size is not in the table.

    References
    ----------
    PVC pipe data of two makers' tables (outside diameter and least wall of Schedule 40).
    """
    if nominal_in not in PIPE_SIZES:
        known = ", ".join(f"{size:g}" for size in PIPE_SIZES)
        raise RangeError(f"no pipe of nominal size {nominal_in:g} in is known: give one of {known}")
    return PIPE_SIZES[nominal_in].inside_in(series)


def pipe_gal_per_ft[N: (float, FloatArray)](diameter_in: N) -> N:
    """Return the volume of one foot of full pipe.

    Parameters
    ----------
    diameter_in
        Inside diameter. [in]

    Returns
    -------
    float or (n,) array
        Volume. [US gal/ft]

    Raises
    ------
    RangeError
        If the diameter is not above zero.

    References
    ----------
    Geometry; 1 gal = 231 in³.
    """
    need_above_zero(diameter_in=diameter_in)
    return answer(math.pi / 4 * diameter_in**2 * IN_PER_FT / IN3_PER_GAL)


def pipe_volume_gal(length_ft: float, gal_per_ft: float, laterals: int = 1) -> float:
    """Return the volume of a pipe, or of several alike.

    Parameters
    ----------
    length_ft
        Length of one. [ft]
    gal_per_ft
        Volume of one foot: by `pipe_gal_per_ft`, or a form's own figure. [US gal/ft]
    laterals
        How many there are.

    Returns
    -------
    float
        Volume of all. [US gal]

    Raises
    ------
    RangeError
        If a figure is negative.
    """
    need_zero_or_more(length_ft=length_ft, gal_per_ft=gal_per_ft, laterals=laterals)
    return length_ft * gal_per_ft * laterals
