"""``riserway flag``: flood flags and freeboard for every site."""

from contextlib import closing

import click

from registry.cli.options import json_option, print_json, say, store_option


@click.command("flag", epilog="Example: riserway flag --json")
@click.argument("site", nargs=-1)
@click.option(
    "--edge",
    "edge_accuracy_m",
    type=click.FloatRange(0, 1000),
    default=20.0,
    show_default=True,
    help="Nearer than this to an edge a site is marked “near edge”. [m]",
)
@json_option
@store_option
def command(
    site: tuple[str, ...], edge_accuracy_m: float, as_json: bool, store: str | None
) -> None:
    """Work out flood flags and freeboard again, for every SITE number given or for all sites.

    Not a flood determination: the map's own publisher decides.
    """
    from registry.services.flag_sites import flag_sites
    from registry.services.site_numbers import site_ids_named
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store), parts.store.session() as session:
        ids = site_ids_named(session, site) if site else None
        counts = flag_sites(session, parts.now(), ids, edge_accuracy_m)
    if as_json:
        print_json(counts)
        return
    click.echo(
        f"{counts['sites']:,} sites: {counts['in_hazard_area']:,} in a special flood hazard area, "
        f"{counts['below_bfe']:,} with equipment below the base flood elevation, "
        f"{counts['unknown']:,} unknown."
    )
    say("Not a flood determination.")
