"""``riserway import reports, licences``: what other firms did, and who is licensed to do it."""

from functools import partial
from pathlib import Path
from typing import Any

import click

from registry.cli.import_options import file_options, run_import
from registry.cli.options import json_option, store_option

_FILE = click.argument("file", type=click.Path(path_type=Path))
_WHOSE = click.option("--jurisdiction", default="", help="Whose. [default: the only one]")


@click.command("reports", epilog="Example: riserway import reports june.csv --rejects bad.csv")
@_FILE
@_WHOSE
@file_options
@json_option
@store_option
def reports(file: Path, as_json: bool, store: str | None, **given: Any) -> int:  # noqa: ANN401 - the file options, as click names them
    """Take reports of other firms in from FILE (CSV), one row for each visit.

    The system must be known, the licence valid that day, the day and the numbers plausible. A
    report that is taken in counts as a visit: due dates move by the same rules.
    """
    from registry.services.take_in_reports import import_reports
    from registry.wiring import assemble

    parts = assemble(store)
    today = parts.today()
    parts.store.close()
    service = partial(import_reports, today=today)
    return run_import(
        store, service, label="Taking reports in", as_json=as_json, **_of(file, given)
    )


@click.command("licences", epilog="Example: riserway import licences licences.csv")
@_FILE
@_WHOSE
@file_options
@json_option
@store_option
def licences(file: Path, as_json: bool, store: str | None, **given: Any) -> int:  # noqa: ANN401 - the file options, as click names them
    """Bring an authority's list of licensed firms and persons in from FILE (CSV)."""
    from registry.services.import_licences import import_licences

    return run_import(
        store, import_licences, label="Importing licences", as_json=as_json, **_of(file, given)
    )


def _of(file: Path, given: dict[str, Any]) -> dict[str, Any]:
    from registry.imports.opening import Reading

    return {
        "who": given["who"],
        "path": file,
        "map_path": given["map_path"],
        "firm": given["firm"],
        "jurisdiction": given["jurisdiction"],
        "reading": Reading(encoding=given["encoding"], delimiter=given["delimiter"]),
        "rejects": given["rejects"],
    }
