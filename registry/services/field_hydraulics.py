"""A field's arithmetic for one set of figures: purge, network, what a pattern fits, balancing."""

from dataclasses import asdict, dataclass, field

from registry.hydraulics import (
    Cause,
    Network,
    NetworkEvenness,
    NetworkFlow,
    PurgePlan,
    PurgeWater,
    Spread,
    balance,
    explain_squirt,
    network_evenness,
    purge_plan,
    purge_water,
    solve_network,
)
from registry.hydraulics.field_given import network_given, squirts_given, tank_gal_per_in
from registry.hydraulics.formulas import FORMULAS, Formula
from registry.hydraulics.given import Section, section
from registry.hydraulics.practice import PURGE_PIPE_VOLUMES
from registry.hydraulics.squirt import LATERAL_FLOW_SHARE
from registry.units import IN_PER_FT

type Row = dict[str, object]

EXPLANATIONS_SHOWN = 8
BLOCKED = {Cause.HOLES_BLOCKED, Cause.ALL_BLOCKED}
"""Causes that a brush mends and a valve only hides."""


@dataclass(frozen=True, slots=True)
class Answer:
    """What was worked out: figures, rows, sentences, and the formulas behind them."""

    results: Row
    rows: list[Row] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    formulas: list[Formula] = field(default_factory=list)

    def as_json(self) -> Row:
        """Return the answer as a JSON document."""
        return {
            "results": self.results,
            "rows": self.rows,
            "notes": self.notes,
            "formulas": [asdict(one) for one in self.formulas],
        }


def formulas(*keys: str) -> list[Formula]:
    """Return formulas by their keys."""
    return [FORMULAS[key] for key in keys]


@dataclass(frozen=True, slots=True)
class PurgeView:
    """A purge of a network and the water for it, None where the pump tank is not described."""

    network: Network
    plan: PurgePlan
    water: PurgeWater | None


def plan_purge(figures: Section) -> PurgeView:
    """Return the purge of the field in a file's sections.

    Raises
    ------
    RangeError
        With everything that is wrong in the sections.
    """
    network = network_given(figures)
    asked = section({"purge": {}, **figures}, "purge")
    plan = purge_plan(
        network,
        pipe_volumes=asked.number("pipe_volumes", PURGE_PIPE_VOLUMES[1]),
        shuts_others=asked.yes("shuts_others", True),
    )
    asked.check()
    if "tank" not in figures:
        return PurgeView(network, plan, None)
    tank = section(figures, "tank")
    level_in, off_in = tank.number("level_in"), tank.number("off_in")
    hose_gpm = tank.maybe_number("hose_gpm")
    gal_per_in = tank_gal_per_in(tank, level_in)
    tank.asked |= set(tank.figures)
    tank.check()
    return PurgeView(network, plan, purge_water(plan, level_in, off_in, gal_per_in, hose_gpm))


def purge_answer(view: PurgeView) -> Answer:
    """Return a purge plan as figures and rows."""
    plan, water = view.plan, view.water
    notes = [
        f"Lateral {one.label}: {one.end_ft_s:.1f} ft/s at its end, below the 2 ft/s that scour."
        for one in plan.laterals
        if not one.is_scoured
    ]
    if plan.past_the_curve:
        notes.append("The flow lies beyond the last point of the pump curve: a guess.")
    if water is None:
        notes.append("No [tank]: what the pump tank holds is not known, so bring all of it.")
    results: Row = {
        "pumped_gal": plan.pumped_gal,
        "pump_run_s": plan.seconds,
        "pipe_volumes": plan.pipe_volumes,
        "shuts_others": plan.shuts_others,
        "in_tank_gal": water.in_tank_gal if water else None,
        "missing_gal": water.missing_gal if water else plan.pumped_gal,
        "hose_min": water.hose_min if water else None,
    }
    together = {one.label: one for one in plan.all_open}
    rows: list[Row] = [
        {
            **asdict(one),
            "all_open_gpm": together[one.label].end_gpm,
            "all_open_ft_s": together[one.label].end_ft_s,
        }
        for one in plan.laterals
    ]
    keys = ("purge", "scour", "heads", "pump curve", "valve", "orifice", "friction")
    return Answer(results, rows, notes, formulas(*keys))


def purge_of(figures: Section) -> Answer:
    """Return the purge plan of the field in a file's sections as figures and rows."""
    return purge_answer(plan_purge(figures))


@dataclass(frozen=True, slots=True)
class NetworkView:
    """A network, its flow and how even it is."""

    network: Network
    flow: NetworkFlow
    even: NetworkEvenness


def see_network(figures: Section) -> NetworkView:
    """Return heads and flows of the field in a file's sections."""
    network = network_given(figures)
    flow = solve_network(network)
    return NetworkView(network, flow, network_evenness(network, flow))


def network_answer(view: NetworkView) -> Answer:
    """Return heads and flows of a network as figures and rows."""
    flow, even = view.flow, view.even
    rows: list[Row] = []
    for i, one in enumerate(view.network.laterals):
        along = even.along[i]
        rows.append(
            {
                "label": one.label,
                "inlet_gpm": float(flow.inlet_gpm[0, i]),
                "squirt_in": float(flow.far_head_ft[0, i]) * IN_PER_FT,
                "inlet_head_ft": float(flow.inlet_head_ft[0, i]),
                "flow_spread_share": along.flow_share if along else None,
                "is_even": along.is_even if along else False,
                "hole_head_ft": flow.hole_head_ft[0, i, : one.holes].tolist(),
                "hole_gpm": flow.hole_gpm[0, i, : one.holes].tolist(),
            }
        )
    results: Row = {
        "pump_gpm": float(flow.pump_gpm[0]),
        "pump_head_ft": float(flow.pump_head_ft[0]),
        "supply_loss_ft": float(flow.supply_loss_ft[0]),
        "pipe_gal": view.network.pipe_gal,
        "squirt_spread_share": even.squirt.height_share if even.squirt else None,
        "flow_spread_share": even.whole.flow_share if even.whole else None,
        "is_even": bool(even.whole and even.whole.is_even),
    }
    notes = _network_notes(view)
    return Answer(
        results,
        rows,
        notes,
        formulas("heads", "evenness", "pump curve", "valve", "orifice", "friction"),
    )


def network_of(figures: Section) -> Answer:
    """Return heads and flows of the field in a file's sections as figures and rows."""
    return network_answer(see_network(figures))


def _network_notes(view: NetworkView) -> list[str]:
    notes = []
    for one, along in zip(view.network.laterals, view.even.along, strict=True):
        if along is None:
            notes.append(f"Lateral {one.label} gets no water: shut, or too high for the pump.")
        elif not along.is_even:
            notes.append(
                f"Lateral {one.label}: flow differs by {along.flow_share:.0%} along it, more than "
                f"{LATERAL_FLOW_SHARE:.0%}."
            )
    whole: Spread | None = view.even.whole
    if whole and not whole.is_even:
        notes.append(
            f"Flow differs by {whole.flow_share:.0%} over the network, more than "
            f"{whole.flow_limit_share:.0%}."
        )
    if view.flow.pump_gpm[0] > view.network.supply.pump.last_flow_gpm:
        notes.append("The flow lies beyond the last point of the pump curve: a guess.")
    return notes


def explain_answer(figures: Section) -> Answer:
    """Return what a measured squirt pattern fits, the best first."""
    network = network_given(figures)
    squirts = squirts_given(figures, network)
    told = explain_squirt(network, squirts.heights_in, pump_gpm=squirts.pump_gpm)
    fitting = [one for one in told if one.fits]
    notes = [one.said.capitalize() + "." for one in fitting[:EXPLANATIONS_SHOWN]]
    if not fitting:
        notes.append("No single cause fits: measure again, or look for two causes at once.")
    if squirts.pump_gpm is None:
        notes.append("A drawdown rate at the same time tells blocked holes from a shut valve.")
    return Answer(
        {
            "best": told[0].said,
            "misfit_in": told[0].misfit_in,
            "fits": told[0].fits,
            "clean_first": told[0].fits
            and told[0].cause in {Cause.HOLES_BLOCKED, Cause.ALL_BLOCKED},
        },
        [asdict(one) for one in told[:EXPLANATIONS_SHOWN]],
        notes,
        formulas("explain", "heads", "valve", "orifice", "friction"),
    )


def balance_answer(figures: Section) -> Answer:
    """Return which valve to turn which way and about how far."""
    network = network_given(figures)
    squirts = squirts_given(figures, network)
    told = balance(
        network, [one or 0.0 for one in squirts.heights_in], full_turns=squirts.full_turns
    )
    notes = [f"Valve {one.label}: {one.said}." for one in told.valves]
    notes.append("Turn a quarter at a time, then measure every height again.")
    return Answer(
        {"squirt_in": told.squirt_in},
        [asdict(one) for one in told.valves],
        notes,
        formulas("balance", "valve", "heads"),
    )
