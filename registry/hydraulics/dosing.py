"""Doses: how large, how often, what runs back, and how long the reserve lasts."""

from registry.errors import RangeError
from registry.hydraulics.ranges import need_above_zero, need_zero_or_more
from registry.units import MIN_PER_DAY

MINNESOTA_PIPE_VOLUMES = 4.0
"""Least dose in volumes of the distribution pipe: University of Minnesota's form, line 18."""

NEVADA_PIPE_VOLUMES = 10.0
"""Dose of about so many volumes of distribution pipe: Nev. Admin. Code 445A.969 and 444.8396."""

MOUND_PIPE_VOLUMES = (5.0, 10.0)
"""Dose in lateral volumes in mound practice, from and to; from memory (Converse and Tyler)."""

MOUND_DESIGN_FLOW_SHARE = 0.25
"""A mound's dose is no more than about this share of the design flow; from memory, same authors."""

SAND_FILTER_DOSES_A_DAY = 6
"""Least equal timed doses a day on ASTM C33 sand: WAC 246-272B-06750 (large systems)."""

COARSE_SAND_DOSES_A_DAY = 12
"""Least equal timed doses a day on coarse sand: WAC 246-272B-06700."""

MOUND_DOSES_A_DAY = {"sand": 4, "sandy loam": 1, "silt loam": 1, "silty clay loam": 1}
"""Soil → doses a day on mounds; not critical in loam or clay.

77 Ill. Adm. Code 906, app. A, ill. H."""


def least_dose_gal(
    pipe_gal: float, pipe_volumes: float = MINNESOTA_PIPE_VOLUMES, drain_back_gal: float = 0.0
) -> float:
    """Return the least dose that fills the distribution pipe often enough.

    Parameters
    ----------
    pipe_gal
        Volume of the distribution pipe. [US gal]
    pipe_volumes
        Volumes of it that one dose must hold. [-]
    drain_back_gal
        Volume that runs back after each dose, pumped on top. [US gal]

    Returns
    -------
    float
        Dose. [US gal]

    Raises
    ------
    RangeError
        If a figure is negative.

    References
    ----------
    University of Minnesota, "Pressure Distribution Design Worksheet", line 18 (4 volumes); Nev.
    Admin. Code 445A.969 (about 10).
    """
    need_zero_or_more(pipe_gal=pipe_gal, pipe_volumes=pipe_volumes, drain_back_gal=drain_back_gal)
    return pipe_gal * pipe_volumes + drain_back_gal


def drain_back_gal(length_ft: float, gal_per_ft: float) -> float:
    """Return the volume that runs back from the supply pipe after each dose.

    Parameters
    ----------
    length_ft
        Length of supply pipe that drains back. [ft]
    gal_per_ft
        Volume of one foot. [US gal/ft]

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
    "Onsite Arithmetic", flow answers, trade journal, December 2015: 80 ft of 2 in pipe, 13.6 gal.
    """
    need_zero_or_more(length_ft=length_ft, gal_per_ft=gal_per_ft)
    return length_ft * gal_per_ft


def dose_to_field_gal(dose_gal: float, drain_back_gal: float) -> float:
    """Return the part of a dose that stays in the field.

    Parameters
    ----------
    dose_gal
        Volume pumped. [US gal]
    drain_back_gal
        Volume that runs back. [US gal]

    Returns
    -------
    float
        Volume. [US gal]

    Raises
    ------
    RangeError
        If a figure is negative, or more runs back than was pumped.

    References
    ----------
    "Onsite Arithmetic", as for `drain_back_gal`.
    """
    need_zero_or_more(dose_gal=dose_gal, drain_back_gal=drain_back_gal)
    if drain_back_gal > dose_gal:
        raise RangeError(
            f"drain-back of {drain_back_gal:g} gal is more than the dose of {dose_gal:g} gal: "
            "check the length of the pipe and the dose"
        )
    return dose_gal - drain_back_gal


def doses_a_day(counts: float, days: float) -> float:
    """Return the doses a day from the counts between two readings.

    Parameters
    ----------
    counts
        Counts between the readings.
    days
        Days between them. [d]

    Returns
    -------
    float
        Doses a day. Fewer than the timer sets: low flow, missed doses, or a float that cuts in.

    Raises
    ------
    RangeError
        If the counts are negative or the days not above zero.

    References
    ----------
    "Onsite Arithmetic", pump math part 4, trade journal, December 2016: 543 in 120 days.
    """
    need_zero_or_more(counts=counts)
    need_above_zero(days=days)
    return counts / days


def timer_min(dose_gal: float, rate_gpm: float, doses_a_day: float) -> tuple[float, float]:
    """Return a timer's settings for equal doses round the clock.

    Parameters
    ----------
    dose_gal
        Volume of one dose. [US gal]
    rate_gpm
        The pump's rate by a drawdown test. [US gal/min]
    doses_a_day
        Doses a day.

    Returns
    -------
    tuple of float
        On and off. [min]

    Raises
    ------
    RangeError
        If a figure is not above zero, or the doses do not fit into a day.

    References
    ----------
    "Onsite Arithmetic", pump math part 4, trade journal, December 2016.
    """
    need_above_zero(dose_gal=dose_gal, rate_gpm=rate_gpm, doses_a_day=doses_a_day)
    on_min, cycle_min = dose_gal / rate_gpm, MIN_PER_DAY / doses_a_day
    if on_min >= cycle_min:
        raise RangeError(
            f"{doses_a_day:g} doses of {on_min:.1f} min do not fit into a day: take fewer"
        )
    return on_min, cycle_min - on_min


def float_drop_in(dose_gal: float, gal_per_in: float, drain_back_gal: float = 0.0) -> float:
    """Return the drop between the on and the off float that gives a dose.

    Parameters
    ----------
    dose_gal
        Volume that the field is to get. [US gal]
    gal_per_in
        Volume of one inch of depth in the pump tank. [US gal/in]
    drain_back_gal
        Volume that runs back after each dose. [US gal]

    Returns
    -------
    float
        Drop. [in]

    Raises
    ------
    RangeError
        If a volume is negative or gallons per inch are not above zero.

    References
    ----------
    Dose ÷ gallons per inch; drain-back is pumped on top of the dose.
    """
    need_zero_or_more(dose_gal=dose_gal, drain_back_gal=drain_back_gal)
    need_above_zero(gal_per_in=gal_per_in)
    return (dose_gal + drain_back_gal) / gal_per_in


def reserve_h(reserve_gal: float, flow_gpd: float) -> float:
    """Return how long the reserve above the alarm lasts.

    Parameters
    ----------
    reserve_gal
        Volume from alarm to inlet. [US gal]
    flow_gpd
        Daily flow. [US gal/d]

    Returns
    -------
    float
        Time. [h]

    Raises
    ------
    RangeError
        If the volume is negative or the flow is not above zero.

    References
    ----------
    Volume ÷ flow.
    """
    need_zero_or_more(reserve_gal=reserve_gal)
    need_above_zero(flow_gpd=flow_gpd)
    return reserve_gal / flow_gpd * 24


def dose_complaints(
    dose_gal: float, pipe_gal: float, design_flow_gpd: float, pipe_volumes: tuple[float, float]
) -> tuple[str, ...]:
    """Return in words what is wrong with a dose by a rule on pipe volumes and design flow.

    Parameters
    ----------
    dose_gal
        Volume that the field gets. [US gal]
    pipe_gal
        Volume of the distribution pipe. [US gal]
    design_flow_gpd
        Design flow. [US gal/d]
    pipe_volumes
        Least and most volumes of pipe in one dose, as `MOUND_PIPE_VOLUMES`. [-]

    Returns
    -------
    tuple of str
        Empty if the dose holds.

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    Mound practice, from memory (Converse and Tyler).
    """
    need_above_zero(dose_gal=dose_gal, pipe_gal=pipe_gal, design_flow_gpd=design_flow_gpd)
    least, most = (pipe_gal * volumes for volumes in pipe_volumes)
    complaints = []
    if dose_gal < least:
        complaints.append(f"{dose_gal:.0f} gal is below the least dose of {least:.0f} gal")
    if dose_gal > most:
        complaints.append(f"{dose_gal:.0f} gal is above the greatest dose of {most:.0f} gal")
    if dose_gal > MOUND_DESIGN_FLOW_SHARE * design_flow_gpd:
        complaints.append(
            f"{dose_gal:.0f} gal is more than {MOUND_DESIGN_FLOW_SHARE:.0%} of the design flow"
        )
    return tuple(complaints)
