"""``riserway import systems, components, windows, agreements, conditions, readings``."""

from pathlib import Path
from typing import Any

import click

from registry.cli.import_options import bar, file_options, follow_up, tell, user_name
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
        from registry.services.import_outcome import ImportRequest
        from registry.services.import_parts import import_parts
        from registry.wiring import assemble

        parts = assemble(store)
        with bar(f"Importing {kind}") as progress, parts.store.session() as session:
            request = ImportRequest(
                path=file,
                who=given["who"] or user_name(),
                now=parts.now(),
                map_path=given["map_path"],
                firm=given["firm"],
                reading=Reading(encoding=given["encoding"], delimiter=given["delimiter"]),
                rejects=given["rejects"],
                folder=Path.cwd(),
                blank_clears=given["blank_clears"],
                progress=progress,
            )
            outcome = import_parts(session, request, kind)
        follow_up(parts, outcome.touched_site_ids)
        return tell(outcome, as_json=as_json)

    return command


systems = _command("systems", "Bring further systems of sites in from FILE (CSV).")
components = _command("components", "Bring the parts of systems in from FILE (CSV).")
windows = _command("windows", "Bring the hours in which owners open in from FILE (CSV).")
agreements = _command("agreements", "Bring service agreements in from FILE (CSV).")
conditions = _command("conditions", "Bring permit conditions and waivers in from FILE (CSV).")
readings = _command("readings", "Bring past visits, tasks and readings in from FILE (CSV).")
