"""``riserway import gauges, river, levels, stages, low-points``."""

from functools import partial
from pathlib import Path
from typing import Any

import click

from registry.cli.import_options import file_options, run_import
from registry.cli.options import json_option, store_option

MOVES_WATER = ("gauges", "river", "levels")
"""After these it is worked out again at which stage components go under."""


def _command(kind: str, ending: str, what: str) -> click.Command:
    @click.command(kind, help=what, epilog=f"Example: riserway import {kind} {kind}.{ending}")
    @click.argument("file", type=click.Path(path_type=Path))
    @file_options
    @click.option("--crs", default="", metavar="EPSG:n", help="The coordinate system of the file.")
    @click.option("--layer", default=None, help="Which layer, where a file has several.")
    @json_option
    @store_option
    def command(file: Path, as_json: bool, store: str | None, **given: Any) -> int:  # noqa: ANN401 - the file options, as click names them
        from registry.imports.opening import Reading
        from registry.services.import_river import import_river

        return run_import(
            store,
            partial(import_river, kind_name=kind),
            label=f"Importing {kind}",
            as_json=as_json,
            who=given["who"],
            is_layer=kind in MOVES_WATER,
            path=file,
            crs=given["crs"],
            map_path=given["map_path"],
            firm=given["firm"],
            reading=Reading(
                encoding=given["encoding"], delimiter=given["delimiter"], layer=given["layer"]
            ),
            rejects=given["rejects"],
        )

    return command


gauges = _command("gauges", "csv", "Bring gauges of rivers in from FILE (CSV).")
river = _command("river", "geojson", "Bring centrelines of rivers in from FILE (a layer of lines).")
levels = _command("levels", "csv", "Bring water levels along rivers by stage in from FILE (CSV).")
stages = _command("stages", "csv", "Bring stages that were read or forecast in from FILE (CSV).")
low_points = _command("low-points", "csv", "Bring low points of roads in from FILE (CSV).")
