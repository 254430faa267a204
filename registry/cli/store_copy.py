"""``riserway store copy-out`` and ``copy-in``: the whole registry to one file and back."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.import_options import parts_of
from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.copies import CopyHead

_FILE = click.argument("file", type=click.Path(path_type=Path, dir_okay=False))


@click.command("copy-out", epilog="Example: riserway store copy-out county.zip")
@_FILE
@json_option
@store_option
def copy_out(file: Path, as_json: bool, store: str | None) -> None:
    """Write the whole registry to FILE, a zip of CSV files, private fields and all."""
    from registry.services.copy_store import copy_out as service

    with parts_of(store) as parts:
        head = service(parts.store, file, parts.now())
    _tell(head, "copied out to", file, as_json=as_json)
    say("The file holds gate codes, phone numbers and private notes. Keep it as safe as the store.")


@click.command("copy-in", epilog="Example: riserway store copy-in county.zip")
@_FILE
@json_option
@store_option
def copy_in(file: Path, as_json: bool, store: str | None) -> None:
    """Fill an empty store from FILE, which copy-out wrote: all of it or nothing."""
    from registry.services.copy_store import copy_in as service

    with parts_of(store, check=False) as parts:
        head = service(parts.store, file)
    _tell(head, "copied in from", file, as_json=as_json)


def _tell(head: "CopyHead", did: str, file: Path, *, as_json: bool) -> None:
    if as_json:
        print_json({"revision": head.revision, "made_at": head.made_at, "counts": head.counts})
        return
    for name, count in head.counts.items():
        if count:
            click.echo(f"{count:>10,} {name.replace('_', ' ')}")
    click.echo(f"{sum(head.counts.values()):,} rows {did} {file.name}, revision {head.revision}.")
