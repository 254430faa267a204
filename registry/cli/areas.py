"""``riserway areas``: sites against the polygons of a layer."""

from contextlib import closing
from pathlib import Path

import click

from registry.cli.office import firm_option
from registry.cli.options import json_option, print_json, store_option

SHOWN = 40


@click.command("areas", epilog="Example: riserway areas towns.geojson --name TOWNNAME")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--name", "column", required=True, help="The column that holds the areas' names.")
@click.option("--crs", default="", metavar="EPSG:n", help="The coordinate system of the file.")
@click.option("--layer", default=None, help="Which layer, where a file has several.")
@firm_option
@json_option
@store_option
def command(
    file: Path,
    column: str,
    crs: str,
    layer: str | None,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Count the sites in each area of FILE and list those whose written town is another.

    Nothing is changed. Sites outside all areas and sites without a position are named.
    """
    from dataclasses import asdict

    from registry.cli.office import office
    from registry.imports.opening import Reading
    from registry.services.compare_areas import compare_areas
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store), parts.store.reading() as session:
        found = compare_areas(
            session, office(session, firm), file, column, Reading(layer=layer), crs
        )
    if as_json:
        print_json(asdict(found))
        return
    for name, count in found.per_area.items():
        if count:
            click.echo(f"{count:>7,}  {name}")
    for keys, said in (
        (found.outside, "outside all areas"),
        (found.without_position, "without a position"),
    ):
        more = f" and {len(keys) - SHOWN:,} more (--json)" if len(keys) > SHOWN else ""
        named = f": {', '.join(keys[:SHOWN])}{more}" if keys else ""
        click.echo(f"{len(keys):>7,}  {said}{named}")
    click.echo(f"{len(found.differing):,} sites lie in another area than their written town:")
    for one in found.differing:
        hint = " (spelling)" if one.is_spelling else ""
        written = f"written {one.written}" if one.written else "no town written"
        click.echo(f"{one.site}: {written}, lies in {one.lies_in or 'no area'}{hint}")
    if found.unusable:
        click.echo(f"Areas without a sound outline: {', '.join(found.unusable)}.")
