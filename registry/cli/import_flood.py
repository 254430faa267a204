"""``riserway import flood``: flood hazard areas and base flood elevation lines."""

from pathlib import Path

import click

from registry.cli.import_options import run_import
from registry.cli.options import json_option, store_option


@click.command("flood", epilog="Example: riserway import flood flood_areas.geojson")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--crs", default="", metavar="EPSG:n", help="The coordinate system of the file.")
@click.option("--layer", default=None, help="Which layer, where a file has several.")
@click.option("--zone", default="", help="What polygons are that name no zone, for example AE.")
@click.option(
    "--rejects", type=click.Path(path_type=Path), default=None, help="Where rejected records go."
)
@click.option("--who", default="", help="Who imports, for the history. [default: you]")
@json_option
@store_option
def command(
    file: Path,
    crs: str,
    layer: str | None,
    zone: str,
    rejects: Path | None,
    who: str,
    as_json: bool,
    store: str | None,
) -> int:
    """Bring the flood hazard areas (polygons) or base flood elevations (lines) of FILE in.

    The flood facts of all sites are worked out again afterwards. Not a flood determination.
    """
    from registry.imports.opening import Reading
    from registry.services.import_flood import import_flood

    return run_import(
        store,
        import_flood,
        label="Importing flood layer",
        as_json=as_json,
        who=who,
        is_layer=True,
        path=file,
        crs=crs,
        zone=zone,
        reading=Reading(layer=layer),
        rejects=rejects,
    )
