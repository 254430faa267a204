"""``riserway import systems, components, windows, agreements, conditions, readings``."""

from functools import partial
from pathlib import Path
from typing import Any

import click

from registry.cli.import_options import file_options, run_import
from registry.cli.options import json_option, store_option


def _command(kind: str, what: str) -> click.Command:
    @click.command(kind, help=what, epilog=f"Example: riserway import {kind} {kind}.csv")
    @click.argument("file", type=click.Path(path_type=Path))
    @file_options
    @click.option("--blank-clears", is_flag=True, help="Let an empty cell empty what is kept.")
    @json_option
    @store_option
    def command(file: Path, as_json: bool, store: str | None, **given: Any) -> int:  # noqa: ANN401 - the file options, as click names them
        from registry.imports.opening import Reading
        from registry.services.import_parts import import_parts

        return run_import(
            store,
            partial(import_parts, kind_name=kind),
            label=f"Importing {kind}",
            as_json=as_json,
            who=given["who"],
            path=file,
            map_path=given["map_path"],
            firm=given["firm"],
            reading=Reading(encoding=given["encoding"], delimiter=given["delimiter"]),
            rejects=given["rejects"],
            blank_clears=given["blank_clears"],
        )

    return command


systems = _command("systems", "Bring further systems of sites in from FILE (CSV).")
components = _command("components", "Bring the parts of systems in from FILE (CSV).")
windows = _command("windows", "Bring the hours in which owners open in from FILE (CSV).")
agreements = _command("agreements", "Bring service agreements in from FILE (CSV).")
conditions = _command("conditions", "Bring permit conditions and waivers in from FILE (CSV).")
readings = _command("readings", "Bring past visits, tasks and readings in from FILE (CSV).")
