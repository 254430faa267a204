"""``riserway high-water``: what a stage of a gauge puts under water."""

from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, store_option

if TYPE_CHECKING:
    from registry.records.high_water import HighWater, PartUnder, RoadUnder

CAUTION = (
    "Levels are carried along the river from the gauge: estimates, no warning and no forecast of "
    "ours. Any water over a road closes it: turn round. What the authorities say goes first."
)


@click.command("high-water", epilog="Example: riserway high-water --stage 21.3")
@click.option(
    "--stage",
    "stage_ft",
    type=float,
    default=None,
    help="Stage at the gauge, in feet. [default: the last one read]",
)
@click.option("--gauge", default="", help="Which gauge. [default: the first by name]")
@firm_option
@json_option
@store_option
def command(
    stage_ft: float | None, gauge: str, firm: str | None, as_json: bool, store: str | None
) -> None:
    """Say which equipment and which roads a river stage puts under water."""
    from registry.services.high_water import high_water
    from registry.wiring import assemble

    parts = assemble(store)
    click.get_current_context().call_on_close(parts.store.close)
    with parts.store.reading() as session:
        found = high_water(session, office(session, firm), gauge, stage_ft, parts.now())
    if as_json:
        print_json(_as_json(found))
        return
    click.echo("\n".join(_lines(found)))


def _as_json(found: "HighWater") -> dict[str, object]:
    told = asdict(found)
    told["gauge"] = found.gauge.name
    told["stages"] = [
        {"at": one.at.isoformat(), "stage_ft": one.stage_ft, "is_forecast": one.is_forecast}
        for one in found.stages
    ]
    told["reached_at"] = found.reached_at.isoformat() if found.reached_at else None
    return told


def _lines(found: "HighWater") -> "list[str]":
    lines = [f"{found.gauge.name} at {found.stage_ft:g} ft."]
    if found.surface_ft is not None:
        lines[0] += f" The water stands at {found.surface_ft:.1f} ft {found.datum} there."
    if not found.covered:
        lines.append("The levels that are known do not cover this stage: nothing is said beyond.")
    if found.is_estimate:
        lines.append("One slope stands for the river’s levels: an estimate.")
    if found.reached_at is not None:
        lines.append(f"The forecast reaches it at {found.reached_at:%Y-%m-%d %H:%M %Z}.")
    lines.append(f"Under water: {found.n_parts:,} components of {found.n_sites:,} sites.")
    lines += [_part(one) for one in found.parts]
    if found.next_parts:
        lines.append("Next, while the river rises:")
        lines += [_part(one) for one in found.next_parts]
    lines += [_road(one) for one in found.roads]
    if found.n_unknown:
        lines.append(f"To be measured, since nothing can be said: {found.n_unknown:,} components.")
        lines += [f"  {one.site}, {one.part}: {one.why_unknown}" for one in found.unknown]
    return [*lines, CAUTION]


def _part(one: "PartUnder") -> str:
    return f"  {one.site}, {one.part}: from {one.stage_ft:.1f} ft"


def _road(one: "RoadUnder") -> str:
    if one.over_ft is None:
        return f"Road, {one.name}: {one.why_unknown or 'not known at this stage'}."
    said = f"{abs(one.over_ft):.1f} ft {'of water over it' if one.over_ft >= 0 else 'above water'}"
    return f"Road, {one.name}: {one.state.value}, {said}."
