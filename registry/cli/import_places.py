"""``riserway import parcels``: parcels or address points, by which sites are located."""

from pathlib import Path

import click

from registry.cli.import_options import file_options, run_import
from registry.cli.options import json_option, store_option


@click.command("parcels", epilog="Example: riserway import parcels parcels.gpkg --json")
@click.argument("file", type=click.Path(path_type=Path))
@file_options
@click.option("--crs", default="", metavar="EPSG:n", help="The coordinate system of the file.")
@click.option("--layer", default=None, help="Which layer, where a file has several.")
@click.option(
    "--accuracy-m",
    type=click.FloatRange(0, 100_000),
    default=None,
    help="How exact the points of the file are. [m]",
)
@json_option
@store_option
def command(
    file: Path,
    map_path: Path | None,
    encoding: str | None,
    delimiter: str | None,
    firm: str,
    rejects: Path | None,
    who: str,
    crs: str,
    layer: str | None,
    accuracy_m: float | None,
    as_json: bool,
    store: str | None,
) -> int:
    """Bring the parcels or address points of FILE in, and locate the sites that have no place."""
    from registry.imports.opening import Reading
    from registry.services.import_places import import_places

    return run_import(
        store,
        import_places,
        label="Importing places",
        as_json=as_json,
        who=who,
        locates=True,
        path=file,
        map_path=map_path,
        crs=crs,
        firm=firm,
        accuracy_m=accuracy_m,
        reading=Reading(layer=layer, encoding=encoding, delimiter=delimiter),
        rejects=rejects,
    )
