"""What a pressure distribution network is made of: supply, manifold, laterals, valves."""

from dataclasses import dataclass

from registry.errors import RangeError
from registry.hydraulics.friction import C_NEW_PLASTIC, FITTINGS_FACTOR
from registry.hydraulics.orifice import FREE_DISCHARGE
from registry.hydraulics.practice import ORIFICE_IN, ORIFICE_SPACING_FT
from registry.hydraulics.pump_curve import PumpCurve
from registry.hydraulics.ranges import need_above_zero, need_share, need_zero_or_more


@dataclass(frozen=True, slots=True, kw_only=True)
class Lateral:
    """One lateral: level, fed at one end, its purge end at the other.

    Parameters
    ----------
    holes, spacing_ft, hole_in
        Orifices, their distance and diameter.
    pipe_in
        Inside diameter.
    lead_ft, tail_ft
        Plain pipe from valve to first hole, and from last hole to the purge end.
    at_ft
        Where it leaves the manifold, counted from where the supply comes in; below zero on the
        other branch of a manifold that is fed between its ends.
    raised_ft
        Height of the lateral over the level to which the supply's lift is measured.
    rise_ft
        Height of the purge end's mouth over the lateral.
    end_in
        Inside diameter of the purge end; None = that of the lateral.
    open_share
        How far its valve is open, 0 shut to 1; without a valve 1.
    has_valve
        Whether it can be shut.
    blocked_share
        Share of its holes that let nothing through, spread evenly.
    c
        Hazen-Williams roughness.
    discharge
        Discharge coefficient of the holes.

    Raises
    ------
    RangeError
        If a figure is out of range; the message names the lateral.
    """

    label: str
    holes: int
    pipe_in: float
    spacing_ft: float = ORIFICE_SPACING_FT
    hole_in: float = ORIFICE_IN
    lead_ft: float = 0.0
    tail_ft: float = 0.0
    at_ft: float = 0.0
    raised_ft: float = 0.0
    rise_ft: float = 0.0
    end_in: float | None = None
    open_share: float = 1.0
    has_valve: bool = True
    blocked_share: float = 0.0
    c: float = C_NEW_PLASTIC
    discharge: float = FREE_DISCHARGE

    def __post_init__(self) -> None:
        try:
            need_above_zero(holes=self.holes, pipe_in=self.pipe_in, spacing_ft=self.spacing_ft)
            need_above_zero(hole_in=self.hole_in, c=self.c, discharge=self.discharge)
            need_above_zero(end_in=self.end_in if self.end_in is not None else self.pipe_in)
            need_zero_or_more(lead_ft=self.lead_ft, tail_ft=self.tail_ft, rise_ft=self.rise_ft)
            need_zero_or_more(at_ft=abs(self.at_ft), raised_ft=abs(self.raised_ft))
            need_share(open_share=self.open_share, blocked_share=self.blocked_share)
        except RangeError as wrong:
            raise RangeError(f"lateral {self.label}: {wrong}") from wrong
        if self.blocked_share == 1:
            raise RangeError(
                f"lateral {self.label}: if all holes are blocked nothing flows; shut the valve"
            )

    @property
    def length_ft(self) -> float:
        """Return the length of its pipe from valve to purge end."""
        return self.lead_ft + (self.holes - 1) * self.spacing_ft + self.tail_ft


@dataclass(frozen=True, slots=True, kw_only=True)
class Supply:
    """Pump and transport pipe.

    Parameters
    ----------
    pump
        The pump's curve.
    lift_ft
        Height from the water in the pump tank to the laterals; below zero where the field is lower.
    pipe_in, length_ft
        Inside diameter and length of the transport pipe.
    fittings_factor
        Factor on its length for fittings.
    c
        Hazen-Williams roughness.

    Raises
    ------
    RangeError
        If a figure is out of range.
    """

    pump: PumpCurve
    lift_ft: float
    pipe_in: float
    length_ft: float
    fittings_factor: float = FITTINGS_FACTOR
    c: float = C_NEW_PLASTIC

    def __post_init__(self) -> None:
        need_zero_or_more(supply_length_ft=self.length_ft, lift_ft=abs(self.lift_ft))
        need_above_zero(supply_pipe_in=self.pipe_in, supply_c=self.c)
        need_above_zero(fittings_factor=self.fittings_factor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Network:
    """A supply, a manifold of one diameter and the laterals on it.

    Raises
    ------
    RangeError
        If there is no lateral, two have one label, or the manifold's figures are out of range.
    """

    supply: Supply
    laterals: tuple[Lateral, ...]
    manifold_in: float
    c: float = C_NEW_PLASTIC

    def __post_init__(self) -> None:
        need_above_zero(manifold_in=self.manifold_in, c=self.c)
        if not self.laterals:
            raise RangeError("a network has one lateral at least: describe it")
        labels = [one.label for one in self.laterals]
        twice = sorted({label for label in labels if labels.count(label) > 1})
        if twice:
            raise RangeError(f"two laterals are called {', '.join(twice)}: give each its own name")

    @property
    def pipe_gal(self) -> float:
        """Return the volume of all laterals."""
        from registry.hydraulics.pipes import pipe_gal_per_ft

        return sum(one.length_ft * pipe_gal_per_ft(one.pipe_in) for one in self.laterals)
