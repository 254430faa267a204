"""``riserway errand``: stops at places outside, such as a laboratory that closes."""

from typing import TYPE_CHECKING

import click

from registry.cli.options import ClockTime, json_option, print_json, say, store_option
from registry.cli.visit import DAY, as_dispatcher, firm_option

if TYPE_CHECKING:
    from datetime import datetime


@click.group("errand", epilog="Example: riserway errand list 2026-06-09")
def command() -> None:
    """Add, list and remove stops at places outside that a day must make."""


@command.command(
    epilog="Example: riserway errand add 2026-06-09 Laboratory --at -140.01,44.98 --by 15:00"
)
@click.argument("date", type=DAY)
@click.argument("name")
@click.option("--at", required=True, metavar="LON,LAT", help="Where.")
@click.option("--minutes", type=click.FloatRange(0, 1440, min_open=True), default=10.0,
              show_default=True, help="How long it takes.")  # fmt: skip
@click.option("--from", "from_min", type=ClockTime(), default="00:00", help="Opens (HH:MM).")
@click.option("--by", "to_min", type=ClockTime(), default="24:00", help="Latest arrival (HH:MM).")
@click.option("--technician", default=None, help="Who makes it. [default: anyone]")
@firm_option
@store_option
def add(
    date: "datetime",
    name: str,
    at: str,
    minutes: float,
    from_min: int,
    to_min: int,
    technician: str | None,
    firm: str | None,
    store: str | None,
) -> None:
    """Let somebody call at a place called NAME on DATE."""
    from registry.records.places import LonLat
    from registry.records.visits import Errand
    from registry.services.dispatch_day import add_errand, technician_id_of

    try:
        lon, lat = (float(part) for part in at.split(","))
    except ValueError as wrong:
        raise click.UsageError(f"“{at}” is no place. Write longitude,latitude.") from wrong
    if not (abs(lon) <= 180 and abs(lat) <= 90):
        raise click.UsageError(f"“{at}” is no place. Longitude comes first, both in degrees.")
    with as_dispatcher(store, firm) as (_, session, viewer):
        who = None if technician is None else technician_id_of(session, viewer, technician)
        number = add_errand(
            session,
            viewer,
            Errand(
                on_date=date.date(),
                name=name,
                lon_lat=LonLat(lon, lat),
                minutes=minutes,
                from_min=from_min,
                to_min=to_min,
                technician_id=who,
            ),
        )
    say(f"Errand {number} is kept for {date:%Y-%m-%d}. Order the day again to see it on a route.")


@command.command("list", epilog="Example: riserway errand list 2026-06-09 --json")
@click.argument("date", type=DAY)
@json_option
@firm_option
@store_option
def list_(date: "datetime", as_json: bool, firm: str | None, store: str | None) -> None:
    """List the errands of DATE."""
    from registry.services.dispatch_day import list_errands

    with as_dispatcher(store, firm) as (_, session, viewer):
        found = list_errands(session, viewer, date.date())
    rows = [
        {
            "id": one.id,
            "name": one.name,
            "lon": one.lon_lat.lon,
            "lat": one.lon_lat.lat,
            "minutes": one.minutes,
            "from": f"{one.from_min // 60:02d}:{one.from_min % 60:02d}",
            "by": f"{one.to_min // 60:02d}:{one.to_min % 60:02d}",
        }
        for one in found
    ]
    if as_json:
        print_json(rows)
    for row in [] if as_json else rows:
        click.echo(f"{row['id']:>4}  {row['from']}–{row['by']}  {row['name']}")
    if not rows and not as_json:
        click.echo("None.")


@command.command(epilog="Example: riserway errand remove 3")
@click.argument("number", type=int)
@firm_option
@store_option
def remove(number: int, firm: str | None, store: str | None) -> None:
    """Forget errand NUMBER."""
    from registry.services.dispatch_day import remove_errand

    with as_dispatcher(store, firm) as (_, session, viewer):
        remove_errand(session, viewer, number)
    say(f"Errand {number} is removed.")
