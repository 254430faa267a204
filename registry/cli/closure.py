"""``riserway closure``: close roads, list what is closed, open them again."""

from contextlib import closing
from datetime import date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.records.closures import Closure
    from registry.services.new_closure import ClosureWords
    from registry.store import Session
    from registry.wiring import Parts

DATE = click.DateTime(["%Y-%m-%d"])


@click.group("closure", epilog="Example: riserway closure list")
def command() -> None:
    """Close roads, list what is closed, open them again; a plan drives around what is closed."""


@command.command(
    epilog="Example: riserway closure add --road 'Main Street' --from 'First Street' --to "
    "'Third Street' --until 2026-06-20"
)
@click.option("--road", default="", help="The road's name or number.")
@click.option("--from", "begins", default="", metavar="PLACE", help="A cross street or LON,LAT.")
@click.option("--to", "ends", default="", metavar="PLACE", help="A cross street or LON,LAT.")
@click.option(
    "--file", type=click.Path(path_type=Path), default=None, help="GeoJSON of lines and areas."
)
@click.option("--name", default="", help="What the closure is called. [default: by the road]")
@click.option("--date", type=DATE, default=None, help="The first day. [default: today]")
@click.option(
    "--until", type=DATE, default=None, help="The last day. [default: until further notice]"
)
@click.option("--hours", default="", help="As 08:00-12:00; without --until on one day only.")
@click.option("--why", default="", help="The reason.")
@firm_option
@json_option
@store_option
def add(
    road: str,
    begins: str,
    ends: str,
    file: Path | None,
    name: str,
    date: datetime | None,
    until: datetime | None,
    hours: str,
    why: str,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Close a road by name, a piece of it, or what a file holds."""
    from registry.services.closures import close_roads
    from registry.services.new_closure import ClosureWords
    from registry.wiring import assemble

    if bool(road) == (file is not None):
        raise click.UsageError("Give --road NAME or --file FILE.")
    parts = assemble(store)
    with closing(parts.store):
        with parts.store.reading() as session:
            viewer = office(session, firm)
            first_on = date.date() if date else _today(parts, session, viewer)
        words = ClosureWords(
            name=name,
            first_on=first_on,
            last_on=until.date() if until else None,
            hours=hours,
            why=why,
        )
        wanted = _wanted(parts, words, road, begins, ends, file)
        with parts.store.session() as session:
            made = close_roads(session, viewer, wanted, parts.now())
    _tell(made, as_json=as_json)


@command.command("list", epilog="Example: riserway closure list --date 2026-06-16 --json")
@click.option("--date", type=DATE, default=None, help="Only what is closed on this date.")
@click.option("--lifted", is_flag=True, help="Those that were lifted too.")
@firm_option
@json_option
@store_option
def list_(
    date: datetime | None, lifted: bool, firm: str | None, as_json: bool, store: str | None
) -> None:
    """List closed roads."""
    from registry.services.closures import list_closures
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store), parts.store.reading() as session:
        on_date = date.date() if date else None
        found = list_closures(session, office(session, firm), on_date, lifted=lifted)
    _tell(found, as_json=as_json)


@command.command(epilog="Example: riserway closure lift 3")
@click.argument("number", type=int)
@firm_option
@store_option
def lift(number: int, firm: str | None, store: str | None) -> None:
    """Open a road again: the closure with this NUMBER of ``closure list``."""
    from registry.services.closures import lift_closure
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store), parts.store.session() as session:
        lifted = lift_closure(session, office(session, firm), number, parts.now())
    say(f"{lifted.name} is open again. Order the day again where a plan drove around it.")


def _today(parts: "Parts", session: "Session", viewer: "Viewer") -> date:
    from registry.services.viewer_zone import zone_of

    return parts.today(zone_of(session, viewer))


def _wanted(
    parts: "Parts", words: "ClosureWords", road: str, begins: str, ends: str, file: Path | None
) -> list["Closure"]:
    from registry.records.roads import NamedStretch
    from registry.services.new_closure import closure_by_name, closures_from_file

    if file is not None:
        return closures_from_file(file, words)
    with parts.roads() as roads:
        return [closure_by_name(roads, NamedStretch(road=road, begins=begins, ends=ends), words)]


def _tell(closures: list["Closure"], *, as_json: bool) -> None:
    if as_json:
        print_json([_json(one) for one in closures])
        return
    for one in closures:
        reason = f": {one.why}" if one.why else ""
        lifted = f" Lifted by {one.lifted_by}." if one.lifted_at else ""
        click.echo(f"{one.id:4}  {one.name}, closed {one.when()}{reason}.{lifted}")
    if not closures:
        click.echo("No road is closed.")


def _json(one: "Closure") -> dict[str, Any]:
    from registry.records.closures import hours_said

    return {
        "closure": one.id,
        "name": one.name,
        "road": one.road,
        "first_on": one.first_on,
        "last_on": one.last_on,
        "hours": hours_said(one.hours).replace("–", "-") if one.hours else None,
        "why": one.why,
        "made_by": one.made_by,
        "made_at": one.made_at,
        "lifted_by": one.lifted_by or None,
        "lifted_at": one.lifted_at,
    }
