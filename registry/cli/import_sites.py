"""``riserway import sites``: sites with their systems from CSV or GIS files."""

from pathlib import Path

import click

from registry.cli.import_options import file_options, run_import
from registry.cli.options import json_option, store_option


@click.command("sites", epilog="Example: riserway import sites county.csv --map county.toml --json")
@click.argument("file", type=click.Path(path_type=Path))
@file_options
@click.option("--crs", default="", metavar="EPSG:n", help="The coordinate system of the file.")
@click.option("--layer", default=None, help="Which layer, where a file has several.")
@click.option(
    "--write-map",
    type=click.Path(path_type=Path),
    default=None,
    help="Write the column map that is used, to be mended.",
)
@click.option("--jurisdiction", default="", help="Whose rules hold for rows that name none.")
@click.option(
    "--source",
    default="",
    metavar="NAME",
    help="Another source, whose numbers are its own: what may be a site that is kept waits.",
)
@click.option("--blank-clears", is_flag=True, help="Let an empty cell empty what is kept.")
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
    write_map: Path | None,
    jurisdiction: str,
    source: str,
    blank_clears: bool,
    as_json: bool,
    store: str | None,
) -> int:
    """Bring the sites of FILE into the registry, one system each."""
    from registry.imports.opening import Reading
    from registry.services.import_sites import import_sites

    return run_import(
        store,
        import_sites,
        label="Importing sites",
        as_json=as_json,
        who=who,
        path=file,
        map_path=map_path,
        write_map=write_map,
        crs=crs,
        source=source.strip(),
        firm=firm,
        jurisdiction=jurisdiction,
        reading=Reading(layer=layer, encoding=encoding, delimiter=delimiter),
        rejects=rejects,
        blank_clears=blank_clears,
    )
