"""A field's figures as sections, turned into a network, a tank and measured heights."""

from collections.abc import Mapping
from dataclasses import dataclass

from registry.errors import RangeError
from registry.hydraulics.friction import C_NEW_PLASTIC, FITTINGS_FACTOR
from registry.hydraulics.given import Given, Section, section
from registry.hydraulics.lateral import hole_count
from registry.hydraulics.network import Lateral, Network, Supply
from registry.hydraulics.orifice import FREE_DISCHARGE
from registry.hydraulics.practice import ORIFICE_IN, ORIFICE_SPACING_FT
from registry.hydraulics.pump_curve import pump_curve
from registry.hydraulics.tanks import (
    lying_ellipse_gal_per_in,
    rectangular_gal_per_in,
    round_gal_per_in,
)
from registry.hydraulics.valve import FULL_TURNS, open_share_of_turns


@dataclass(frozen=True, slots=True)
class Squirts:
    """Measured squirt heights, one a lateral, None = not measured."""

    heights_in: tuple[float | None, ...]
    pump_gpm: float | None
    full_turns: float


def network_given(figures: Section) -> Network:
    """Return the network that the sections supply, manifold and lateral describe.

    Raises
    ------
    RangeError
        Naming every section and figure that is wrong.
    """
    supply, manifold = section(figures, "supply"), section(figures, "manifold")
    given = figures.get("lateral")
    if not isinstance(given, list) or not given:
        raise RangeError("There is no [[lateral]]: describe one at least.")
    turns = _full_turns(figures)
    laterals = [
        _lateral(Given(f"[[lateral]] {number}", one), number, turns)
        for number, one in enumerate(given, start=1)
        if isinstance(one, Mapping)
    ]
    network = Network(
        supply=Supply(
            pump=pump_curve(supply.pairs("pump")),
            lift_ft=supply.number("lift_ft"),
            pipe_in=supply.pipe_in(),
            length_ft=supply.number("length_ft"),
            fittings_factor=supply.number("fittings_factor", FITTINGS_FACTOR),
            c=supply.number("c", C_NEW_PLASTIC),
        ),
        manifold_in=manifold.pipe_in(),
        c=manifold.number("c", C_NEW_PLASTIC),
        laterals=tuple(laterals),
    )
    supply.check()
    manifold.check()
    return network


def _lateral(given: Given, number: int, full_turns: float) -> Lateral:
    """Return one lateral; its holes by number, or by the length that they stand on."""
    spacing_ft = given.number("spacing_ft", ORIFICE_SPACING_FT)
    holes, length_ft = given.whole("holes"), given.maybe_number("length_ft")
    if holes is None and length_ft is None:
        given.complaints.append(f"{given.title}: give holes, or length_ft from first to last hole.")
    turns = given.maybe_number("turns_open")
    share = given.number("open_share", 1.0)
    figures = {
        "label": given.text("label", str(number)),
        "pipe_in": given.pipe_in(),
        "spacing_ft": spacing_ft,
        "hole_in": given.number("hole_in", ORIFICE_IN),
        "lead_ft": given.number("lead_ft", 0.0),
        "tail_ft": given.number("tail_ft", 0.0),
        "at_ft": given.number("at_ft", 0.0),
        "raised_ft": given.number("raised_ft", 0.0),
        "rise_ft": given.number("rise_ft", 0.0),
        "end_in": given.maybe_number("end_in"),
        "has_valve": given.yes("has_valve", True),
        "blocked_share": given.number("blocked_share", 0.0),
        "c": given.number("c", C_NEW_PLASTIC),
        "discharge": given.number("discharge", FREE_DISCHARGE),
        "open_share": share if turns is None else open_share_of_turns(turns, full_turns),
    }
    given.check()
    count = holes if holes is not None else hole_count(length_ft or 0.0, spacing_ft)
    return Lateral(holes=count, **figures)  # type: ignore[arg-type]  # kinds are checked above


def _full_turns(figures: Section) -> float:
    found = figures.get("squirt")
    given = Given("[squirt]", found if isinstance(found, Mapping) else {})
    return given.number("full_turns", FULL_TURNS)


def squirts_given(figures: Section, network: Network) -> Squirts:
    """Return the measured heights of the section squirt; 0 stands for not measured.

    Raises
    ------
    RangeError
        If they are not one a lateral, or a figure is wrong.
    """
    given = section(figures, "squirt")
    heights = given.numbers("heights_in")
    pump_gpm = given.maybe_number("pump_gpm")
    full_turns = given.number("full_turns", FULL_TURNS)
    if len(heights) != len(network.laterals):
        given.complaints.append(
            f"[squirt]: {len(heights)} heights_in for {len(network.laterals)} laterals: give one "
            "each, 0 where none was measured."
        )
    given.check()
    return Squirts(tuple(one or None for one in heights), pump_gpm, full_turns)


def tank_gal_per_in(given: Given, depth_in: float | None = None) -> float:
    """Return the gallons per inch of a tank's section.

    By ``gal_per_in`` itself, ``length_in`` and ``width_in``, ``diameter_in`` of an upright round
    tank, or ``lying_width_in``, ``lying_height_in`` and ``lying_length_in`` at a depth.
    """
    known = given.maybe_number("gal_per_in")
    length, width = given.maybe_number("length_in"), given.maybe_number("width_in")
    diameter = given.maybe_number("diameter_in")
    lying = [given.maybe_number(f"lying_{side}_in") for side in ("width", "height", "length")]
    if known is not None:
        return known
    if length is not None and width is not None:
        return rectangular_gal_per_in(length, width)
    if diameter is not None:
        return round_gal_per_in(diameter)
    if None not in lying:
        wide, high, long = (one or 0.0 for one in lying)
        return lying_ellipse_gal_per_in(
            wide, high, long, high / 2 if depth_in is None else depth_in
        )
    given.complaints.append(
        f"{given.title}: give gal_per_in, or length_in and width_in, or diameter_in, or "
        "lying_width_in, lying_height_in and lying_length_in."
    )
    return 1.0
