"""The published table of pump-out intervals, and the formula fitted to it for other sizes."""

from typing import overload

import numpy as np
import numpy.typing as npt

from registry.errors import RangeError

type Numbers = npt.NDArray[np.float64]

TANKS_GAL = np.array([500, 750, 900, 1000, 1250, 1500, 1750, 2000, 2250, 2500], dtype=float)
PEOPLE = np.arange(1.0, 11.0)
NAN = float("nan")

YEARS = np.array(
    [
        [5.8, 2.6, 1.5, 1.0, 0.7, 0.4, 0.3, 0.2, 0.1, NAN],
        [9.1, 4.2, 2.6, 1.8, 1.3, 1.0, 0.7, 0.6, 0.4, 0.3],
        [11.0, 5.2, 3.3, 2.3, 1.7, 1.3, 1.0, 0.8, 0.7, 0.5],
        [12.4, 5.9, 3.7, 2.6, 2.0, 1.5, 1.2, 1.0, 0.8, 0.7],
        [15.6, 7.5, 4.8, 3.4, 2.6, 2.0, 1.7, 1.4, 1.2, 1.0],
        [18.9, 9.1, 5.9, 4.2, 3.3, 2.6, 2.1, 1.8, 1.5, 1.3],
        [22.1, 10.7, 6.9, 5.0, 3.9, 3.1, 2.6, 2.2, 1.9, 1.6],
        [25.4, 12.4, 8.0, 5.9, 4.5, 3.7, 3.1, 2.6, 2.2, 2.0],
        [28.6, 14.0, 9.1, 6.7, 5.2, 4.2, 3.5, 3.0, 2.6, 2.3],
        [31.9, 15.6, 10.2, 7.5, 5.9, 4.8, 4.0, 3.5, 3.0, 2.6],
    ]
)
"""Years by tank [US gal] and people, shape (10, 10); the cell 500 gal, 10 people is blank."""

SMALLEST_GAL, LARGEST_GAL = 300.0, 5000.0
MOST_PEOPLE = 20.0
"""Beyond these the fitted formula is not offered: nothing published supports it there."""


@overload
def pump_out_years(tank_gal: float, people: float) -> float: ...
@overload
def pump_out_years(tank_gal: Numbers, people: Numbers) -> Numbers: ...
def pump_out_years(tank_gal: float | Numbers, people: float | Numbers) -> float | Numbers:
    """Return the estimated years between pump-outs of a septic tank in year-round use.

    Inside the published table (500–2,500 gal, 1–10 people) its cells, linear between them in both
    directions. Outside, and beside the table's blank cell, ``fitted_pump_out_years``.

    Parameters
    ----------
    tank_gal
        Liquid capacity of the tank. [US gal]
    people
        People who live in the house, a fraction allowed. [-]

    Returns
    -------
    float or ndarray
        An estimate that measured scum and sludge override; 0 where the tank holds less than a
        day's flow. [years]

    Raises
    ------
    RangeError
        Outside 300–5,000 gal, or unless 0 < people ≤ 20.

    References
    ----------
    Penn State extension, "Septic Tank Pumping" (F-161), table of estimated pumping frequencies,
    after K. M. Mancl, Journal of Environmental Engineering 110 (1984) 283–285; read in two copies
    that agree on every cell but 2,500 gal with 1 person (30.9 or 31.9: 31.9 fits the column).
    """
    gal, who = np.broadcast_arrays(np.asarray(tank_gal, float), np.asarray(people, float))
    years = fitted_pump_out_years(gal, who)
    inside = (gal >= TANKS_GAL[0]) & (gal <= TANKS_GAL[-1]) & (who >= 1) & (who <= PEOPLE[-1])
    row = np.clip(np.searchsorted(TANKS_GAL, gal, side="right") - 1, 0, len(TANKS_GAL) - 2)
    col = np.clip(np.floor(who).astype(int) - 1, 0, len(PEOPLE) - 2)
    u = np.clip((gal - TANKS_GAL[row]) / (TANKS_GAL[row + 1] - TANKS_GAL[row]), 0, 1)
    v = np.clip(who - PEOPLE[col], 0, 1)
    between = np.zeros_like(years)
    for down, right, share in (
        (0, 0, (1 - u) * (1 - v)),
        (1, 0, u * (1 - v)),
        (0, 1, (1 - u) * v),
        (1, 1, u * v),
    ):
        cell = YEARS[row + down, col + right]
        between = between + np.where(
            share > 0, share * cell, 0.0
        )  # a blank cell counts only if used
    answer = np.where(inside & ~np.isnan(between), between, years)
    return float(answer) if answer.ndim == 0 else answer


@overload
def fitted_pump_out_years(tank_gal: float, people: float) -> float: ...
@overload
def fitted_pump_out_years(tank_gal: Numbers, people: Numbers) -> Numbers: ...
def fitted_pump_out_years(tank_gal: float | Numbers, people: float | Numbers) -> float | Numbers:
    """Return the years between pump-outs by the formula fitted to the published table.

    T = (V − 49.0 N) / (76.9 N): a day's flow of 49 gal a person is held back, the rest fills at
    76.9 gal a person a year. Our own least-squares fit, not the author's statement; all 99 cells of
    the table within 0.08 years. Raises RangeError like ``pump_out_years``.
    """
    gal, who = np.asarray(tank_gal, float), np.asarray(people, float)
    if not np.all((gal >= SMALLEST_GAL) & (gal <= LARGEST_GAL)):
        raise RangeError(
            f"The pump-out estimate holds for tanks of {SMALLEST_GAL:,.0f} to {LARGEST_GAL:,.0f} "
            "gal. Measure scum and sludge instead."
        )
    if not np.all((who > 0) & (who <= MOST_PEOPLE)):
        raise RangeError(
            f"The pump-out estimate holds for up to {MOST_PEOPLE:.0f} people, more than none. "
            "Measure scum and sludge instead."
        )
    years = np.maximum((gal - 49.0 * who) / (76.9 * who), 0.0)
    return float(years) if years.ndim == 0 else np.asarray(years)


def has_estimate(tank_gal: Numbers, people: Numbers) -> npt.NDArray[np.bool_]:
    """Tell for which tanks and households ``pump_out_years`` has an answer; NaN has none."""
    answer: npt.NDArray[np.bool_] = (
        (tank_gal >= SMALLEST_GAL)
        & (tank_gal <= LARGEST_GAL)
        & (people > 0)
        & (people <= MOST_PEOPLE)
    )
    return answer
