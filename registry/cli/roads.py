"""``riserway roads``: the speeds at which a firm drives, beside what its drives took."""

from contextlib import closing
from dataclasses import asdict
from datetime import datetime
from typing import TYPE_CHECKING

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option
from registry.units import M_PER_MI, S_PER_MIN

if TYPE_CHECKING:
    from registry.plan.measured_drives import MeasuredDrive

DATE = click.DateTime(["%Y-%m-%d"])


@click.group("roads", epilog="Example: riserway roads speeds")
def command() -> None:
    """Show and set the speeds of roads."""


@command.command(epilog="Example: riserway roads speeds --set gravel=18 --set service=10")
@click.option("--set", "wanted", multiple=True, metavar="CLASS=MPH", help="Set (repeatable).")
@click.option("--clear", multiple=True, metavar="CLASS", help="Give back to the program's own.")
@firm_option
@json_option
@store_option
def speeds(
    wanted: tuple[str, ...],
    clear: tuple[str, ...],
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Show the speeds of roads, and set those that the firm knows better."""
    from registry.services.road_speeds import road_speeds, set_road_speeds
    from registry.wiring import assemble

    changes: dict[str, float | None] = dict.fromkeys(clear)
    changes |= dict(_setting(one) for one in wanted)
    parts = assemble(store)
    with closing(parts.store):
        if changes:
            with parts.store.session() as session:
                set_road_speeds(session, office(session, firm), changes, parts.now())
            say("Set. Order the day again; the network is driven at these speeds from now on.")
        with parts.store.reading() as session:
            own = road_speeds(session, office(session, firm))
    rows = _table(own)
    if as_json:
        print_json(rows)
        return
    click.echo(f"{'class':16}{'set':>8}{'program':>10}")
    for row in rows:
        mine, given = row["set_mph"], row["program_mph"]
        click.echo(
            f"{row['class']:16}{'' if mine is None else f'{mine:g} mph':>8}"
            f"{'' if given is None else f'{given:.0f} mph':>10}"
        )


def _setting(text: str) -> tuple[str, float]:
    kind, _, mph = text.partition("=")
    try:
        return kind.strip(), float(mph.removesuffix("mph"))
    except ValueError as wrong:
        raise click.UsageError(f"“{text}” is not CLASS=MPH, as gravel=18.") from wrong


def _table(own: dict[str, float]) -> list[dict[str, str | float | None]]:
    """Return each class with the speed set and Dijkstra's own; OSRM's own differ, see docs."""
    from registry.records.roads import GRAVEL, SPEED_CLASSES
    from registry.roads.drivable import (
        KM_PER_MI,
        LANE_SPEEDS_KM_H,
        ROAD_SPEEDS_KM_H,
        SURFACE_LIMITS_KM_H,
    )

    program = {**ROAD_SPEEDS_KM_H, **LANE_SPEEDS_KM_H, GRAVEL: SURFACE_LIMITS_KM_H["gravel"]}
    return [
        {
            "class": kind,
            "set_mph": own.get(kind),
            "program_mph": round(program[kind] / KM_PER_MI, 1) if kind in program else None,
        }
        for kind in SPEED_CLASSES
    ]


@command.command(epilog="Example: riserway roads compare --since 2026-06-01 --until 2026-06-30")
@click.option("--since", type=DATE, required=True, help="The first date.")
@click.option("--until", type=DATE, required=True, help="The last date.")
@firm_option
@json_option
@store_option
def compare(
    since: datetime, until: datetime, firm: str | None, as_json: bool, store: str | None
) -> None:
    """Show what drives took beside their estimates, and the ratio for each class of road."""
    from registry.plan.measured_drives import class_ratios
    from registry.services.compare_drives import compare_drives
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store):
        with parts.store.reading() as session:
            viewer = office(session, firm)
        with parts.roads() as roads:
            drives = compare_drives(parts.store, viewer, roads, since.date(), until.date())
    ratios = class_ratios(drives)
    if as_json:
        print_json({"drives": [_drive(one) for one in drives], "classes": [*map(asdict, ratios)]})
        return
    if not drives:
        click.echo(
            "No drive was recorded in these days. A drive is known where one stop was noted as "
            "done and the next one as on site."
        )
        return
    for one in drives:
        click.echo(
            f"{one.on_date}  {one.technician}: {one.begins} to {one.ends}, took "
            f"{one.measured_s / S_PER_MIN:.0f} min, estimated {one.estimated_s / S_PER_MIN:.1f} min"
        )
    click.echo(f"{'class':16}{'drives':>8}{'miles':>8}{'took / estimated':>18}")
    for row in ratios:
        miles = row.length_m / M_PER_MI
        click.echo(f"{row.road_class:16}{row.drives:>8}{miles:>8.1f}{row.ratio:>18.2f}")


def _drive(one: "MeasuredDrive") -> dict[str, object]:
    return {
        "date": one.on_date,
        "technician": one.technician,
        "from": one.begins,
        "to": one.ends,
        "measured_s": one.measured_s,
        "estimated_s": one.estimated_s,
        "length_m": one.length_m,
        "classes_m": dict(one.classes_m),
    }
