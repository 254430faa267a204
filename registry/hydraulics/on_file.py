"""A pressure field as the components on file describe it, and what is not on file."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, fields

from registry.hydraulics.friction import C_NEW_PLASTIC
from registry.hydraulics.given import Section
from registry.hydraulics.lateral import hole_count
from registry.records.systems import Component, ComponentKind

HOSE_GPM = 5.0
"""A garden hose where none is on file; common practice, no source."""
RISE_FT = 1.0
"""Mouth of a purge end over its lateral where none is on file; common practice, no source."""
APART_FT = 5.0
"""Lateral to lateral where nothing is on file; common practice, no source."""

NEEDED = {
    "pump_curve": "pump curve",
    "lift_ft": "lift",
    "supply_in": "size of the transport pipe",
    "supply_ft": "length of the transport pipe",
    "manifold_in": "size of the manifold",
    "laterals": "number of laterals",
    "length_ft": "length of the laterals",
    "pipe_in": "size of the laterals",
    "orifice_in": "size of the holes",
    "spacing_ft": "spacing of the holes",
}
"""What a purge plan needs, in words for who reads what is missing."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldOnFile:
    """One pressure field; None or empty = not on file. Pipes by their nominal size.

    ``pump_curve`` holds gpm and ft of each point. ``turns_open`` has a figure for each lateral, or
    none. ``off_in`` is the level at which the pump stops, ``hose_gpm`` what a hose on site gives.
    """

    pump_curve: tuple[tuple[float, float], ...] = ()
    lift_ft: float | None = None
    supply_in: float | None = None
    supply_ft: float | None = None
    manifold_in: float | None = None
    laterals: int | None = None
    length_ft: float | None = None
    pipe_in: float | None = None
    orifice_in: float | None = None
    spacing_ft: float | None = None
    lead_ft: float = 0.0
    tail_ft: float = 0.0
    rise_ft: float = RISE_FT
    apart_ft: float = APART_FT
    has_valves: bool = False
    turns_open: tuple[float, ...] = ()
    gal_per_in: float | None = None
    off_in: float | None = None
    hose_gpm: float | None = None

    @property
    def missing(self) -> tuple[str, ...]:
        """What a purge plan needs and is not on file, in words."""
        return tuple(
            NEEDED[one.name]
            for one in fields(self)
            if one.name in NEEDED and getattr(self, one.name) in (None, ())
        )

    @property
    def holes(self) -> int | None:
        """How many holes each lateral has."""
        if self.length_ft is None or self.spacing_ft is None:
            return None
        return hole_count(self.length_ft, self.spacing_ft)

    def sections(self) -> Section:
        """Return the field as sections of figures, as a purge plan takes them.

        Raises
        ------
        ValueError
            If something is missing.
        """
        if self.missing:
            raise ValueError(f"not on file: {', '.join(self.missing)}")
        lateral = {
            "holes": self.holes,
            "pipe": self.pipe_in,
            "hole_in": self.orifice_in,
            "spacing_ft": self.spacing_ft,
            "lead_ft": self.lead_ft,
            "tail_ft": self.tail_ft,
            "rise_ft": self.rise_ft,
            "has_valve": self.has_valves,
        }
        return {
            "supply": {
                "pump": [list(point) for point in self.pump_curve],
                "lift_ft": self.lift_ft,
                "pipe": self.supply_in,
                "length_ft": self.supply_ft,
                "c": C_NEW_PLASTIC,
            },
            "manifold": {"pipe": self.manifold_in},
            "lateral": [
                lateral | {"label": str(number + 1), "at_ft": number * self.apart_ft}
                for number in range(self.laterals or 0)
            ],
        }


def field_on_file(components: Iterable[Component]) -> FieldOnFile:
    """Return the pressure field of one system.

    Parameters
    ----------
    components
        The system's components. A pump's details ``curve`` ("0 40, 20 37, 40 30": gpm and ft of
        each point), ``lift_ft``, ``supply_in`` and ``supply_ft``, a pump tank's ``hose_gpm``, the
        floats' ``off_in`` and the laterals' ``lead_ft``, ``tail_ft``, ``rise_ft`` and ``apart_ft``
        are read as numbers.
    """
    first: dict[ComponentKind, Component] = {}
    turns = []
    for one in components:
        first.setdefault(one.kind, one)
        if one.kind is ComponentKind.BALANCING_VALVE:
            turns.append(one.turns_open)
    nothing = Component(kind=ComponentKind.OTHER)
    pump, tank, floats, manifold, laterals = (
        first.get(kind, nothing)
        for kind in (
            ComponentKind.PUMP,
            ComponentKind.PUMP_TANK,
            ComponentKind.FLOATS,
            ComponentKind.MANIFOLD,
            ComponentKind.LATERALS,
        )
    )
    known = [one for one in turns if one is not None]
    return FieldOnFile(
        pump_curve=_curve(pump.details.get("curve", "")),
        lift_ft=_number(pump, "lift_ft"),
        supply_in=_number(pump, "supply_in"),
        supply_ft=_number(pump, "supply_ft"),
        manifold_in=manifold.pipe_in,
        laterals=laterals.count,
        length_ft=laterals.length_ft,
        pipe_in=laterals.pipe_in,
        orifice_in=laterals.orifice_in,
        spacing_ft=laterals.spacing_ft,
        lead_ft=_number(laterals, "lead_ft") or 0.0,
        tail_ft=_number(laterals, "tail_ft") or 0.0,
        rise_ft=_or(_number(laterals, "rise_ft"), RISE_FT),
        apart_ft=_or(_number(laterals, "apart_ft"), APART_FT),
        has_valves=bool(turns),
        turns_open=tuple(known) if len(known) == laterals.count else (),
        gal_per_in=tank.gal_per_in,
        off_in=_number(floats, "off_in"),
        hose_gpm=_number(tank, "hose_gpm"),
    )


def _curve(text: str) -> tuple[tuple[float, float], ...]:
    """Return the points of a pump curve, empty where it is none."""
    points = [point.split() for point in re.split(r"[,;\n]", text) if point.strip()]
    numbers = [[_float(one) for one in point] for point in points]
    if len(numbers) < 2 or any(len(one) != 2 or None in one for one in numbers):
        return ()
    return tuple((one[0] or 0.0, one[1] or 0.0) for one in numbers)


def _number(part: Component, name: str) -> float | None:
    return _float(part.details.get(name, ""))


def _float(text: str) -> float | None:
    found = re.fullmatch(r"\s*(-?\d{1,6}(?:\.\d{1,6})?)\s*", text)
    return float(found[1]) if found else None


def _or(found: float | None, instead: float) -> float:
    return instead if found is None else found
