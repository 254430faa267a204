"""``riserway import crew``: firm, jurisdictions, technicians, trucks, places outside."""

from pathlib import Path

import click

from registry.cli.import_options import run_import
from registry.cli.options import json_option, store_option


@click.command("crew", epilog="Example: riserway import crew crew.toml")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--who", default="", help="Who imports, for the history. [default: you]")
@json_option
@store_option
def command(file: Path, who: str, as_json: bool, store: str | None) -> int:
    """Bring the firm, jurisdictions, crew, trucks and places outside of FILE in."""
    from registry.services.import_crew import import_crew

    return run_import(
        store, import_crew, label="Importing crew", as_json=as_json, who=who, path=file
    )
