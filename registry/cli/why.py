"""``riserway why``: why a site's visit waits, or why it is where it is."""

from dataclasses import asdict
from datetime import datetime

import click

from registry.cli.options import json_option, print_json, store_option


@click.command("why", epilog="Example: riserway why 2026-06-16 1001")
@click.argument("date", type=click.DateTime(["%Y-%m-%d"]))
@click.argument("site")
@click.option("--firm", default=None, help="Whose day. [default: the only firm]")
@json_option
@store_option
def command(date: datetime, site: str, firm: str | None, as_json: bool, store: str | None) -> None:
    """Say why the visit of SITE waits on DATE, or why it is where it is, for each technician."""
    from registry.services.new_viewer import firm_named
    from registry.services.why_site import why_site
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.reading() as session:
        firm_id = firm_named(session, firm)
    with parts.roads() as roads:
        found = why_site(parts.store, roads, firm_id, date.date(), site, parts.now())
    if as_json:
        print_json(asdict(found))
        return
    click.echo(f"{found.site} · {found.place}\n{found.said}")
    for one in found.each:
        click.echo(f"- {one.limit}{' ' + one.cost if one.cost else ''}")
