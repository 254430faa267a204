"""``riserway what-if``: what would be different on an ordered day; nothing is kept."""

from dataclasses import asdict, replace
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, store_option

if TYPE_CHECKING:
    from registry.services.what_if import Wishes


@click.command("what-if", epilog="Example: riserway what-if 2026-06-16 --more-hours 'Some Name:60'")
@click.argument("date", type=click.DateTime(["%Y-%m-%d"]))
@click.option("--put", multiple=True, metavar="SITE:TECHNICIAN", help="Put a visit on a route.")
@click.option(
    "--close",
    type=click.Path(path_type=Path),
    default=None,
    help="GeoJSON of roads that would be closed.",
)
@click.option(
    "--close-road",
    "close_roads",
    multiple=True,
    metavar="NAME",
    help="A road that would be closed, by its name or number.",
)
@click.option(
    "--extra-technician",
    "extra",
    multiple=True,
    metavar="TECHNICIAN",
    help="Send one more technician, who is like this one.",
)
@click.option(
    "--more-hours",
    "more",
    multiple=True,
    metavar="TECHNICIAN:MIN",
    help="Minutes that somebody works longer.",
)
@click.option("--seconds", type=click.FloatRange(0.05), default=None, help="Search time. [0.35]")
@click.option("--rounds", type=click.IntRange(1), default=None, help="Search effort, not time.")
@click.option("--firm", default=None, help="Whose day. [default: the only firm]")
@json_option
@store_option
def command(
    date: datetime,
    put: tuple[str, ...],
    close: Path | None,
    close_roads: tuple[str, ...],
    extra: tuple[str, ...],
    more: tuple[str, ...],
    seconds: float | None,
    rounds: int | None,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Say what would be different on DATE, against the plan in force; nothing is kept."""
    from registry.plan.difference import said
    from registry.records.roads import NamedStretch
    from registry.services.new_closure import ClosureWords, closure_by_name
    from registry.services.new_viewer import firm_named
    from registry.services.what_if import what_if
    from registry.wiring import assemble

    if not (put or close or close_roads or extra or more):
        raise click.UsageError(
            "Give --put, --close, --close-road, --extra-technician or --more-hours."
        )
    wishes = _wishes(date, put, close, extra, more)
    if seconds is not None and rounds is not None:
        raise click.UsageError("Give --seconds or --rounds, not both.")
    parts = assemble(store)
    with parts.store.reading() as session:
        firm_id = firm_named(session, firm)
    words = ClosureWords(first_on=date.date())
    with parts.roads() as roads:
        named = (closure_by_name(roads, NamedStretch(road=road), words) for road in close_roads)
        wishes = replace(wishes, closed=(*wishes.closed, *named), seconds=seconds, rounds=rounds)
        found = what_if(
            parts.store,
            roads,
            parts.repairer(),
            firm_id,
            date.date(),
            wishes,
            parts.now(),
        )
    if as_json:
        routes = [
            {"before": asdict(before), "after": asdict(after)} for before, after in found.routes
        ]
        print_json(asdict(found) | {"routes": routes})
        return
    click.echo("\n".join(said(found)))


def _wishes(
    date: datetime,
    put: tuple[str, ...],
    close: Path | None,
    extra: tuple[str, ...],
    more: tuple[str, ...],
) -> "Wishes":
    """Return what would be otherwise."""
    from registry.services.new_closure import ClosureWords, closures_from_file
    from registry.services.what_if import Wishes

    longer = [_pair("--more-hours", text) for text in more]
    for _, minutes in longer:
        if not minutes.removeprefix("-").isdecimal():
            raise click.UsageError(f"“{minutes}” is no whole number of minutes.")
    words = ClosureWords(first_on=date.date())
    return Wishes(
        put=tuple(_pair("--put", text) for text in put),
        more_min=tuple((name, int(minutes)) for name, minutes in longer),
        extra_like=extra,
        closed=tuple(closures_from_file(close, words)) if close else (),
    )


def _pair(option: str, text: str) -> tuple[str, str]:
    """Return two words with a colon between them; the last colon counts."""
    before, _, after = text.rpartition(":")
    if not before.strip() or not after.strip():
        raise click.UsageError(f"{option} takes two words with a colon between, not “{text}”.")
    return before.strip(), after.strip()
