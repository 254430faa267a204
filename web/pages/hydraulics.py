"""The Hydraulics page: purge plan, heads at every hole, what squirt heights fit, valves to turn."""

from typing import Any

import numpy as np
from flask import Blueprint, render_template, request

from registry.errors import RangeError
from registry.hydraulics import States, solve_network
from registry.services.field_hydraulics import (
    NetworkView,
    balance_answer,
    explain_answer,
    network_answer,
    plan_purge,
    purge_answer,
    see_network,
)
from registry.services.field_of_site import field_of_site
from registry.units import IN_PER_FT
from web import present
from web.access import needs, viewer
from web.context import reading
from web.draw.hydraulic_plots import Curve, Mark, curves_plot
from web.forms import number_in
from web.hydraulics_form import FIELDS, GROUPS, figures_in, given_in, given_of
from web.read_log import read_of

pages = Blueprint("hydraulics", __name__, url_prefix="/hydraulics")

CURVE_POINTS = 30
LATERALS_DRAWN = 5


@pages.get("/")
@needs("read a gate sheet")
def show() -> tuple[str, int]:
    """Show the form and, where its figures hold, what comes of them.

    With ``site`` it is filled in from that site's file; what is not on file is named, and nothing
    is worked out from figures that would be invented.
    """
    given, of_site = given_in(request.args), None
    asked = number_in(request.args.get("site", ""))
    if asked is not None and not any(name in request.args for name in FIELDS):
        with reading() as session:
            of_site = field_of_site(session, viewer(), asked)
            read_of(asked)
        given = given_of(of_site)
    complaints: list[str] = []
    told: dict[str, Any] = {}
    missing = of_site.field.missing if of_site else ()
    try:
        told = {} if missing else _worked_out(figures_in(given))
    except RangeError as wrong:
        complaints = [_sentence(one) for one in str(wrong).splitlines()]
    page = render_template(
        "hydraulics.html",
        groups=GROUPS,
        given=given,
        of_site=of_site,
        missing=missing,
        is_example=of_site is None and not any(name in request.args for name in FIELDS),
        complaints=complaints,
        told=told,
        present=present,
    )
    return page, 422 if complaints and not of_site else 200


def _sentence(text: str) -> str:
    """Return a complaint of a formula as a sentence."""
    is_name = "_" in text.partition(" ")[0]
    begun = text if is_name else text[:1].upper() + text[1:]
    return begun + ("" if begun.endswith((".", "?")) else ".")


def _worked_out(figures: dict[str, Any]) -> dict[str, Any]:
    """Return all answers, the pictures among them."""
    view = see_network(figures)
    planned = plan_purge(figures)
    purge, network = purge_answer(planned), network_answer(view)
    asked = [purge, network]
    told: dict[str, Any] = {
        "purge": purge,
        "plan": planned,
        "gal_per_in": figures.get("tank", {}).get("gal_per_in"),
        "network": network,
        "heads": _heads_plot(view),
        "curves": _pump_plot(view),
    }
    if "heights_in" in figures["squirt"]:
        told["explain"] = explain_answer(figures)
        asked.append(told["explain"])
        try:
            told["balance"] = balance_answer(figures)
            asked.append(told["balance"])
        except RangeError as wrong:
            told["no_balance"] = _sentence(str(wrong))
    told["formulas"] = list({one.name: one for answer in asked for one in answer.formulas}.values())
    return told


def _heads_plot(view: NetworkView) -> str:
    """Return the head at the holes along each lateral, from the valve outward."""
    curves = []
    for i, one in enumerate(view.network.laterals[:LATERALS_DRAWN]):
        heads = view.flow.hole_head_ft[0, i, : one.holes][::-1]
        away = one.lead_ft + one.spacing_ft * np.arange(one.holes)
        curves.append(Curve(f"lateral {one.label}", away.tolist(), heads.tolist()))
    lowest = float(np.nanmin(view.flow.hole_head_ft)) * IN_PER_FT
    highest = float(np.nanmax(view.flow.hole_head_ft)) * IN_PER_FT
    said = (
        f"Head at the holes of {present.count(len(curves), 'lateral')}, from "
        f"{present.quantity(lowest, 'in', 0)} to {present.quantity(highest, 'in', 0)} of squirt."
    )
    return curves_plot(
        curves, "Head along the laterals", said, ("feet from the valve", "feet of head"),
        ident="heads",
    )  # fmt: skip


def _pump_plot(view: NetworkView) -> str:
    """Return the pump's curve against what the system takes, and where they meet."""
    pump = view.network.supply.pump
    flows = np.linspace(0.0, pump.last_flow_gpm, CURVE_POINTS)
    least = np.clip(view.network.supply.lift_ft / max(pump.heads_ft[0], 1.0), 0.0, 1.5)
    states = solve_network(view.network, States(head_share=np.linspace(least, 1.6, CURVE_POINTS)))
    system = sorted(
        (flow, head)
        for flow, head in zip(states.pump_gpm, states.pump_head_ft, strict=True)
        if 1e-3 < flow <= pump.last_flow_gpm
    )
    at = Mark(
        float(view.flow.pump_gpm[0]),
        float(view.flow.pump_head_ft[0]),
        f"{present.quantity(float(view.flow.pump_gpm[0]), 'gpm', 1)} at "
        f"{present.quantity(float(view.flow.pump_head_ft[0]), 'ft', 1)}",
    )
    curves = [Curve("pump", flows.tolist(), pump.head_ft(flows).tolist())]
    if system:
        lift = max(view.network.supply.lift_ft, 0.0)
        curves.append(
            Curve("system", [0.0, *(f for f, _ in system)], [lift, *(h for _, h in system)])
        )
    return curves_plot(
        curves, "Pump curve against system curve", f"They meet at {at.said}.",
        ("gallons per minute", "feet of head"), at, ident="pump-curve",
    )  # fmt: skip
