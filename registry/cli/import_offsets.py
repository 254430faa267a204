"""``riserway import offsets``: a grid of offsets between vertical datums."""

from dataclasses import asdict
from pathlib import Path

import click

from registry.cli.import_options import parts_of
from registry.cli.options import json_option, print_json, say, store_option


@click.command("offsets", epilog="Example: riserway import offsets vertcon.gtx")
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@store_option
def command(file: Path, as_json: bool, store: str | None) -> None:
    """Bring a .gtx grid of offsets from NGVD 29 to NAVD 88 in.

    It is used where a jurisdiction states no offset. Flood facts are worked out again.
    """
    from registry.services.after_import import after_import
    from registry.services.import_offsets import import_offsets

    with parts_of(store) as parts:
        with parts.store.session() as session:
            counts = import_offsets(session, file, parts.now())
        with parts.store.session() as session:
            site_ids = None if counts.added or counts.changed else ()
            for line in after_import(session, parts.now(), parts.today(), site_ids):
                say(line)
    if as_json:
        print_json(asdict(counts))
    else:
        say("Kept." if not counts.unchanged else "This grid is kept already; nothing changed.")
