"""The form of the Hydraulics page: its fields, and the sections of figures that they make."""

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from registry.errors import RangeError
from registry.services.field_of_site import FieldOfSite

SIZES = (("1", "1 in"), ("1.25", "1 1/4 in"), ("1.5", "1 1/2 in"), ("2", "2 in"), ("3", "3 in"))
HOLES = (("0.125", "1/8 in"), ("0.15625", "5/32 in"), ("0.1875", "3/16 in"),
         ("0.21875", "7/32 in"), ("0.25", "1/4 in"))  # fmt: skip
ROUGHNESS = (("150", "150, new plastic"), ("140", "140"), ("130", "130, old or slimed"))
YES_NO = (("yes", "yes"), ("no", "no"))

MOST_LATERALS, MOST_HOLES = 20, 100
"""More would keep others waiting; the command line takes any number."""
MOST = 1e6
"""No field of the form has a use for a greater number."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field: its name in the address, its label with unit, what it starts with, choices."""

    name: str
    label: str
    starts: str
    choices: tuple[tuple[str, str], ...] = ()
    hint: str = ""
    is_long: bool = False


GROUPS: tuple[tuple[str, tuple[Field, ...]], ...] = (
    (
        "Pump and transport pipe",
        (
            Field("pump", "Pump curve, gpm and feet, one point a line",
                  "0 40\n20 37\n40 30\n60 18\n75 5", is_long=True),
            Field("lift_ft", "Lift from low water to the laterals, ft", "27"),
            Field("supply_pipe", "Transport pipe", "2", SIZES),
            Field("supply_ft", "Its length, ft", "100"),
            Field("manifold_pipe", "Manifold", "2", SIZES),
            Field("c", "Roughness C", "150", ROUGHNESS),
        ),
    ),
    (
        "Laterals",
        (
            Field("laterals", "How many", "3"),
            Field("holes", "Holes in each", "20"),
            Field("spacing_ft", "Hole to hole, ft", "2"),
            Field("hole_in", "Hole", "0.125", HOLES),
            Field("pipe", "Pipe", "1", SIZES),
            Field("lead_ft", "Valve to first hole, ft", "3"),
            Field("tail_ft", "Last hole to purge end, ft", "2"),
            Field("rise_ft", "Purge end over the lateral, ft", "1"),
            Field("apart_ft", "Lateral to lateral, ft", "5"),
            Field("has_valve", "Each has a valve", "yes", YES_NO),
            Field("turns_open", "Turns open", "2.5", hint="one figure for all, or one for each"),
            Field("full_turns", "Turns of a valve in all", "5"),
            Field("blocked_pct", "Holes blocked, %", "0", hint="one figure for all, or each"),
        ),
    ),
    (
        "Purge and pump tank",
        (
            Field("pipe_volumes", "Lateral volumes to turn over", "2"),
            Field("shuts_others", "Other valves shut meanwhile", "yes", YES_NO),
            Field("level_in", "Level in the pump tank, in", "28.5"),
            Field("off_in", "Pump off at, in", "28"),
            Field("gal_per_in", "Gallons per inch", "17.45"),
            Field("hose_gpm", "Hose on site, gpm", "5", hint="empty = none"),
        ),
    ),
    (
        "Measured",
        (
            Field("squirt_in", "Squirt heights, in", "71, 71, 79",
                  hint="one for each lateral, 0 = not measured, empty = none"),
            Field("pump_gpm", "Drawdown rate then, gpm", "24.8", hint="empty = not measured"),
        ),
    ),
)  # fmt: skip
FIELDS = {one.name: one for _, group in GROUPS for one in group}


def given_in(asked: Mapping[str, str]) -> dict[str, str]:
    """Return the text of every field; the example's figures where nothing was sent at all."""
    if not any(name in asked for name in FIELDS):
        return {one.name: one.starts for one in FIELDS.values()}
    return {name: asked.get(name, "").strip()[:2000] for name in FIELDS}


def given_of(found: FieldOfSite) -> dict[str, str]:
    """Return the text of every field for a site's field.

    What a purge plan needs and is not on file stays empty; so does the level in the pump tank
    where it, pump-off or the gallons per inch are not known. Else the form's own start stands.
    """
    field = found.field
    of_file = {
        "pump": "\n".join(f"{gpm:g} {ft:g}" for gpm, ft in field.pump_curve),
        "lift_ft": field.lift_ft,
        "supply_pipe": field.supply_in,
        "supply_ft": field.supply_ft,
        "manifold_pipe": field.manifold_in,
        "laterals": field.laterals,
        "holes": field.holes,
        "spacing_ft": field.spacing_ft,
        "hole_in": field.orifice_in,
        "pipe": field.pipe_in,
        "pump_gpm": found.pump_gpm,
    }
    known = {
        "lead_ft": field.lead_ft,
        "tail_ft": field.tail_ft,
        "rise_ft": field.rise_ft,
        "apart_ft": field.apart_ft,
        "has_valve": "yes" if field.has_valves else "no",
        "turns_open": ", ".join(f"{one:g}" for one in field.turns_open),
        "hose_gpm": field.hose_gpm,
    }
    tank = {"level_in": found.level_in, "off_in": field.off_in, "gal_per_in": field.gal_per_in}
    if None in tank.values():
        tank["level_in"] = None
    measured = any(found.squirt_in) and len(found.squirt_in) == field.laterals
    heights = ", ".join(f"{one or 0:g}" for one in found.squirt_in)
    starts = {one.name: one.starts for one in FIELDS.values()}
    starts["turns_open"] = starts["full_turns"]
    return (
        starts
        | {name: _text(value) for name, value in known.items() if value not in (None, "")}
        | {name: _text(value) for name, value in (of_file | tank).items()}
        | {"squirt_in": heights if measured else ""}
    )


def _text(value: float | str | None) -> str:
    if value is None:
        return ""
    return value if isinstance(value, str) else f"{value:g}"


def figures_in(given: Mapping[str, str]) -> dict[str, Any]:
    """Return the sections of figures that the fields make.

    Raises
    ------
    RangeError
        One line for each field that is wrong.
    """
    read = _Reader(given)
    count = read.whole("laterals", MOST_LATERALS)
    turns, blocked = read.each("turns_open", count), read.each("blocked_pct", count)
    c, has_valve = read.number("c"), given["has_valve"] == "yes"
    same = {
        "holes": read.whole("holes", MOST_HOLES),
        "has_valve": has_valve,
        "c": c,
        **{name: read.number(name) for name in
           ("spacing_ft", "hole_in", "pipe", "lead_ft", "tail_ft", "rise_ft")},
    }  # fmt: skip
    apart_ft = read.number("apart_ft")
    figures: dict[str, Any] = {
        "supply": {
            "pump": read.pairs("pump"),
            "lift_ft": read.number("lift_ft"),
            "pipe": read.number("supply_pipe"),
            "length_ft": read.number("supply_ft"),
            "c": c,
        },
        "manifold": {"pipe": read.number("manifold_pipe"), "c": c},
        "lateral": [
            same
            | {"label": str(i + 1), "at_ft": i * apart_ft, "blocked_share": blocked[i] / 100}
            | ({"turns_open": turns[i]} if has_valve else {})
            for i in range(count)
        ],
        "purge": {
            "pipe_volumes": read.number("pipe_volumes"),
            "shuts_others": given["shuts_others"] == "yes",
        },
        "squirt": {"full_turns": read.number("full_turns")},
    }
    if given["level_in"]:
        figures["tank"] = {name: read.number(name) for name in ("level_in", "off_in", "gal_per_in")}
        if given["hose_gpm"]:
            figures["tank"]["hose_gpm"] = read.number("hose_gpm")
    if given["squirt_in"]:
        figures["squirt"]["heights_in"] = read.each("squirt_in", count)
        if given["pump_gpm"]:
            figures["squirt"]["pump_gpm"] = read.number("pump_gpm")
    read.check()
    return figures


class _Reader:
    """Numbers from fields, with what is wrong gathered."""

    def __init__(self, given: Mapping[str, str]) -> None:
        self.given, self.complaints = given, list[str]()

    def number(self, name: str) -> float:
        """Return a number."""
        return (self._numbers(name, self.given[name]) or [1.0])[0]

    def whole(self, name: str, most: int) -> int:
        """Return a whole number from 1 to ``most``."""
        text = self.given[name]
        if text.isascii() and text.isdigit() and 1 <= int(text[:9]) <= most:
            return int(text)
        self._complain(name, f"Give a whole number from 1 to {most}")
        return 1

    def each(self, name: str, count: int) -> list[float]:
        """Return one number for each lateral; one alone holds for all."""
        found = self._numbers(name, self.given[name])
        if len(found) == 1:
            return found * count
        if len(found) != count:
            self._complain(name, f"Give one number, or {count}")
            return [1.0] * count
        return found

    def pairs(self, name: str) -> list[tuple[float, float]]:
        """Return pairs of numbers, one on each line."""
        found = []
        for row in self.given[name].splitlines():
            if not row.strip():
                continue
            pair = self._numbers(name, row)
            if len(pair) != 2:
                self._complain(name, "Give two numbers on each line, such as 20 37")
                return [(0.0, 1.0), (1.0, 0.0)]
            found.append((pair[0], pair[1]))
        return found

    def check(self) -> None:
        """Raise RangeError if anything was wrong."""
        if self.complaints:
            raise RangeError("\n".join(dict.fromkeys(self.complaints)))

    def _numbers(self, name: str, text: str) -> list[float]:
        parts = [one for one in re.split(r"[,;\s]+", text) if one]
        try:
            found = [float(one) for one in parts]
        except ValueError:
            return self._complain(name, "Give numbers, with a point for decimals")
        if not all(math.isfinite(one) and abs(one) < MOST for one in found):
            return self._complain(name, f"Give numbers below {MOST:,.0f}")
        return found or self._complain(name, "Give a number")

    def _complain(self, name: str, remedy: str) -> list[float]:
        self.complaints.append(f"{FIELDS[name].label}: “{self.given[name][:30]}”. {remedy}.")
        return []
