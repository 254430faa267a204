"""Numbers or arrays of numbers, and the ranges in which a formula holds."""

from typing import cast

import numpy as np
from numpy.typing import NDArray

from registry.errors import RangeError

type FloatArray = NDArray[np.float64]
type Numbers = float | FloatArray


def answer[N](value: N | float) -> N:
    """Return a formula's value as the kind that its arguments have: numbers in, number out.

    A type checker cannot see that an expression of arrays and numbers is an array whenever one of
    its arguments is; this is the one place that says so.
    """
    return cast("N", value)


def need_zero_or_more(**quantities: Numbers) -> None:
    """Refuse a quantity that is below zero, infinite or not a number.

    Raises
    ------
    RangeError
        Naming the first quantity that does not hold; its name carries its unit.
    """
    for name, value in quantities.items():
        if not np.all(np.isfinite(value) & (np.asarray(value) >= 0)):
            raise RangeError(f"{name} is {_shown(value)}: give a number of zero or more")


def need_above_zero(**quantities: Numbers) -> None:
    """Refuse a quantity that is zero or below, infinite or not a number.

    Raises
    ------
    RangeError
        Naming the first quantity that does not hold; its name carries its unit.
    """
    for name, value in quantities.items():
        if not np.all(np.isfinite(value) & (np.asarray(value) > 0)):
            raise RangeError(f"{name} is {_shown(value)}: give a number above zero")


def need_share(**quantities: float) -> None:
    """Refuse a share outside 0 to 1.

    Raises
    ------
    RangeError
        Naming the first share that does not hold.
    """
    for name, value in quantities.items():
        if not 0 <= value <= 1:
            raise RangeError(f"{name} is {value:g}: give a share from 0 to 1")


def _shown(value: Numbers) -> str:
    """Return a number as text, or the least of an array."""
    if np.ndim(value) == 0:
        return f"{float(value):g}"
    return f"{float(np.min(value)):g} at its least" if np.size(value) else "empty"
