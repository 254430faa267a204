"""``riserway store views``: views for a desktop GIS that reads a PostGIS store itself."""

import click

from registry.cli.import_options import parts_of
from registry.cli.options import json_option, print_json, say, store_option


@click.command(
    "views",
    epilog="Examples: riserway store views gis_clerk --as clerk"
    " · riserway store views · riserway store views gis_clerk --drop",
)
@click.argument("database_role", required=False)
@click.option("--as", "sign_in", default=None, help="The sign-in whose rights hold.")
@click.option("--drop", is_flag=True, help="Take the views of DATABASE_ROLE away.")
@json_option
@store_option
def views(
    database_role: str | None, sign_in: str | None, drop: bool, as_json: bool, store: str | None
) -> None:
    """Let a DATABASE_ROLE of PostgreSQL read what a sign-in may see; without one, list them."""
    from registry.services.gis_views import drop_views, list_views, make_views

    if (database_role is None) != (sign_in is None and not drop) or (sign_in and drop):
        raise click.UsageError("Name a DATABASE_ROLE with --as SIGN_IN, or with --drop.")
    with parts_of(store) as parts:
        if database_role and drop:
            drop_views(parts.store, database_role)
            say(f"The views of {database_role} are gone.")
        elif database_role and sign_in:
            made = make_views(parts.store, database_role, sign_in)
            say(f"{database_role} reads {', '.join(made.views)} as {made.sign_in} may see them.")
        known = list_views(parts.store)
    if as_json:
        print_json(
            [
                {"database_role": one.database_role, "sign_in": one.sign_in, "views": one.views}
                for one in known
            ]
        )
        return
    for one in known:
        click.echo(f"{one.database_role:24} {one.sign_in or '(gone)':24} {', '.join(one.views)}")
    if not known:
        click.echo("None.")
