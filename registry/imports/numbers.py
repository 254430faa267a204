"""Cells as numbers, brought into our units."""

import math
import re

from registry.errors import ConfigError
from registry.imports.cells import EMPTY_WORDS, Fault
from registry.imports.fields import Field
from registry.units import (
    FT_PER_M,
    GAL_PER_FT3,
    IN_PER_FT,
    L_PER_GAL,
    M_PER_FT,
    M_PER_FTUS,
    MIN_PER_DAY,
)

UNITS: dict[str, dict[str, float]] = {
    "ft": {
        "ft": 1.0,
        "in": 1 / IN_PER_FT,
        "m": FT_PER_M,
        "cm": FT_PER_M / 100,
        "mm": FT_PER_M / 1000,
        "us-ft": M_PER_FTUS * FT_PER_M,
    },
    "in": {
        "in": 1.0,
        "ft": IN_PER_FT,
        "m": FT_PER_M * IN_PER_FT,
        "cm": FT_PER_M * IN_PER_FT / 100,
        "mm": FT_PER_M * IN_PER_FT / 1000,
    },
    "m": {"m": 1.0, "ft": M_PER_FT},
    "gal": {"gal": 1.0, "L": 1 / L_PER_GAL, "m3": 1000 / L_PER_GAL, "ft3": GAL_PER_FT3},
    "gpd": {"gpd": 1.0, "L/d": 1 / L_PER_GAL, "m3/d": 1000 / L_PER_GAL, "gpm": float(MIN_PER_DAY)},
}
"""Our unit → a file's unit → factor."""

_PLAIN = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
_THOUSANDS = re.compile(r"[+-]?\d{1,3}(?:,\d{3})+(?:\.\d+)?", re.ASCII)
_SUSPECT = re.compile("[^0-9.+\\-eE\n ]")


def factor(field: Field, unit: str) -> float:
    """Return by what a number in a file's unit is multiplied.

    Raises
    ------
    ConfigError
        If the unit does not fit the field.
    """
    known = UNITS.get(field.unit, {})
    if unit not in known:
        raise ConfigError(
            f"[units] {field.name} = “{unit}” does not fit. "
            + (f"Known here: {', '.join(known)}." if known else "This field has no unit.")
        )
    return known[unit]


def numbers(
    cells: list[str], field: Field, *, times: float = 1.0, decimal: str = "."
) -> tuple[list[float | None], dict[int, Fault]]:
    """Return cells as numbers in the field's unit, None for empty ones, and what is wrong where.

    Thousands may be set off by commas (1,250). A decimal comma is taken only where the column map
    says so, since 1,250 means two things.
    """
    whole = field.kind == "count"
    fast = _all_plain(cells) if decimal == "." else None
    faults: dict[int, Fault] = {}
    values: list[float | None] = []
    if fast is not None:
        values = fast
    else:
        for i, cell in enumerate(cells):
            value, wrong = _number(cell, decimal)
            values.append(value)
            if wrong:
                faults[i] = wrong
    if times != 1.0:
        values = [None if one is None else one * times for one in values]
    for i, value in enumerate(values):
        if value is None:
            continue
        if not field.low <= value <= field.high:
            faults[i] = _out_of_range(value, field)
        elif whole and not value.is_integer():
            faults[i] = Fault(f"{cells[i]} is no whole number", "Write a count")
    for i in faults:
        values[i] = None
    return values, faults


def _all_plain(cells: list[str]) -> list[float | None] | None:
    """Return the numbers of a column that holds nothing but plain ones, else None."""
    if _SUSPECT.search("\n".join(cells)):
        return None
    try:
        return [float(one) if one and not one.isspace() else None for one in cells]
    except ValueError:
        return None


def _number(cell: str, decimal: str) -> tuple[float | None, Fault | None]:
    text = cell.strip()
    if text.lower() in EMPTY_WORDS:
        return None, None
    if decimal == ",":
        text = text.replace(".", "").replace(",", ".")
    elif _THOUSANDS.fullmatch(text):
        text = text.replace(",", "")
    if _PLAIN.fullmatch(text):
        value = float(text)
        if math.isfinite(value):
            return value, None
    said = f"“{shortened(cell.strip())}” is no number"
    if decimal == "." and "," in text:
        remedy = 'Write a point as the decimal sign, or say [numbers] decimal = "," in the map'
    elif any(one in text for one in "°'\"′″"):
        remedy = "Write decimal degrees"
    else:
        remedy = "Write a number, or leave the cell empty"
    return None, Fault(said, remedy)


def _out_of_range(value: float, field: Field) -> Fault:
    unit = f" {field.unit}" if field.unit else ""
    return Fault(
        f"{value:.6g}{unit} is outside {field.low:g} to {field.high:g}",
        "Correct the number, or say in [units] what it is in",
    )


def shortened(text: str, most: int = 40) -> str:
    """Return text that is not too long to be shown in a message."""
    plain = " ".join(text.split())
    return plain if len(plain) <= most else plain[: most - 1] + "…"
