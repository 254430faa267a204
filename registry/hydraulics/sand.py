"""Sand for filters and mounds: gradation, fineness modulus and how much a bed needs."""

from collections.abc import Mapping
from itertools import pairwise

from registry.errors import RangeError
from registry.hydraulics.practice import SAND_BED_IN
from registry.hydraulics.ranges import need_above_zero
from registry.units import IN_PER_FT

C33_PASSING_PCT = {
    "3/8": (100.0, 100.0),
    "4": (95.0, 100.0),
    "8": (80.0, 100.0),
    "16": (50.0, 85.0),
    "30": (25.0, 60.0),
    "50": (5.0, 30.0),
    "100": (0.0, 10.0),
    "200": (0.0, 3.0),
}
"""Sieve → least and most percent passing of ASTM C33 fine aggregate. Read in a stormwater guide's
copy; No. 30 is from memory of the standard, since copies print 25-50, 25-60 and 25-85."""

FINENESS_SIEVES = ("3/8", "4", "8", "16", "30", "50", "100")
"""Sieves whose cumulative percent held make up the fineness modulus."""

FINENESS_RANGE = (2.3, 3.1)
"""Fineness modulus of C33 sand, from and to: WAC 246-272B-06700 (4)(b)."""

MOST_BETWEEN_SIEVES_PCT = 45.0
"""Most that may pass one sieve and be held on the next; same source."""


def fineness_modulus(held_pct: Mapping[str, float]) -> float:
    """Return the fineness modulus of a sand.

    Parameters
    ----------
    held_pct
        Sieve → cumulative percent held, for the sieves 3/8, 4, 8, 16, 30, 50 and 100. [%]

    Returns
    -------
    float
        Sum of the cumulative percents held ÷ 100. [-]

    Raises
    ------
    RangeError
        If a sieve is missing, a figure lies outside 0 to 100 or a finer sieve holds less in all.

    References
    ----------
    WAC 246-272B-06700 (4)(b).
    """
    figures = _in_order(held_pct, FINENESS_SIEVES)
    if any(finer < coarser for coarser, finer in pairwise(figures)):
        raise RangeError("percent held must not fall from a sieve to the next finer one: sum it up")
    return sum(figures) / 100


def gradation_faults(passing_pct: Mapping[str, float]) -> tuple[str, ...]:
    """Return in words where a sand leaves the limits of ASTM C33.

    Parameters
    ----------
    passing_pct
        Sieve → percent passing, for the sieves 3/8, 4, 8, 16, 30, 50, 100 and 200. [%]

    Returns
    -------
    tuple of str
        Empty if the sand holds: percent passing by sieve, no more than 45 % between two sieves,
        fineness modulus 2.3 to 3.1.

    Raises
    ------
    RangeError
        If a sieve is missing, a figure lies outside 0 to 100 or a finer sieve lets more through.

    References
    ----------
    ASTM C33 as copied in a stormwater guide (`C33_PASSING_PCT`); WAC 246-272B-06700 (4)(b).
    """
    sieves = tuple(C33_PASSING_PCT)
    figures = dict(zip(sieves, _in_order(passing_pct, sieves), strict=True))
    faults = []
    for sieve, (least, most) in C33_PASSING_PCT.items():
        if not least <= figures[sieve] <= most:
            faults.append(
                f"sieve {sieve}: {figures[sieve]:g} % passes, {least:g} to {most:g} asked"
            )
    for coarser, finer in pairwise(sieves):
        between = figures[coarser] - figures[finer]
        if between < 0:
            raise RangeError(f"more passes sieve {finer} than sieve {coarser}: check both figures")
        if between > MOST_BETWEEN_SIEVES_PCT:
            faults.append(
                f"{between:g} % lies between sieves {coarser} and {finer}, "
                f"{MOST_BETWEEN_SIEVES_PCT:g} at most"
            )
    modulus = fineness_modulus({sieve: 100 - figures[sieve] for sieve in FINENESS_SIEVES})
    least, most = FINENESS_RANGE
    if not least <= modulus <= most:
        faults.append(f"fineness modulus is {modulus:.2f}, {least:g} to {most:g} asked")
    return tuple(faults)


def is_coarse_sand(effective_size_mm: float, uniformity: float) -> bool:
    """Tell whether a sand is the coarse sand of Washington's large-system rule.

    Parameters
    ----------
    effective_size_mm
        Sieve opening that 10 % by weight passes. [mm]
    uniformity
        Opening that 60 % passes over the one that 10 % passes. [-]

    Returns
    -------
    bool
        Effective size 0.3 to 0.5 mm and uniformity below 4.

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    WAC 246-272B-06700 (4)(a).
    """
    need_above_zero(effective_size_mm=effective_size_mm, uniformity=uniformity)
    return 0.3 <= effective_size_mm <= 0.5 and uniformity < 4


def sand_ft3(area_ft2: float, depth_in: float = SAND_BED_IN) -> float:
    """Return the sand that a filter bed needs, in place.

    Parameters
    ----------
    area_ft2
        Area of the bed. [ft²]
    depth_in
        Depth of the sand; common practice is 24 in. [in]

    Returns
    -------
    float
        Volume. [ft³]

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    24 in: common practice; WAC 246-272B-06750 (5) asks for at least as much.
    """
    need_above_zero(area_ft2=area_ft2, depth_in=depth_in)
    return area_ft2 * depth_in / IN_PER_FT


def _in_order(figures_pct: Mapping[str, float], sieves: tuple[str, ...]) -> list[float]:
    """Return the figures of the sieves, coarse to fine."""
    missing = [sieve for sieve in sieves if sieve not in figures_pct]
    if missing:
        raise RangeError(f"no figure for sieve {', '.join(missing)}: give one for each")
    wrong = [sieve for sieve in sieves if not 0 <= figures_pct[sieve] <= 100]
    if wrong:
        raise RangeError(f"figure of sieve {', '.join(wrong)}: give percent from 0 to 100")
    return [figures_pct[sieve] for sieve in sieves]
