"""``riserway store backup`` and ``restore``: while the pages are served, verified each time."""

from pathlib import Path

import click

from registry.cli.import_options import parts_of
from registry.cli.options import json_option, print_json, store_option
from registry.cli.store_found import as_document, print_found

_PATH = click.Path(path_type=Path)


@click.command(
    "backup",
    epilog="Examples: riserway store backup county-backup.sqlite"
    " · riserway store backup --to backups --keep-daily 14 --keep-monthly 12",
)
@click.argument("file", type=_PATH, required=False)
@click.option("--to", type=_PATH, help="A folder: the file's name is the date and time.")
@click.option(
    "--keep-daily",
    type=click.IntRange(1),
    default=14,
    show_default=True,
    help="With --to: of how many days the newest is kept.",
)
@click.option(
    "--keep-monthly",
    type=click.IntRange(0),
    default=12,
    show_default=True,
    help="With --to: of how many months the newest is kept.",
)
@json_option
@store_option
def backup(
    file: Path | None,
    to: Path | None,
    keep_daily: int,
    keep_monthly: int,
    as_json: bool,
    store: str | None,
) -> int:
    """Back the store up to FILE while it is in use, and check the backup by opening it."""
    from registry.services.back_up import back_up, back_up_into

    if file is not None and to is not None:
        raise click.UsageError("Name a FILE or a folder with --to, not both.")
    with parts_of(store) as parts:
        if file is not None:
            made = back_up(parts.store, file, parts.now())
        elif to is not None:
            made = back_up_into(
                parts.store, to, parts.now(), keep_daily=keep_daily, keep_monthly=keep_monthly
            )
        else:
            raise click.UsageError("Name a FILE, or a folder with --to.")
    if as_json:
        print_json(
            as_document(made.found)
            | {"file": made.path.name, "removed": [one.name for one in made.removed]}
        )
    else:
        click.echo(f"Backed up to {made.path.name}. The backup was opened:")
        print_found(made.found)
        for one in made.removed:
            click.echo(f"Thinned out: {one.name}")
    return 1 if made.found.problems else 0


@click.command(
    "restore",
    epilog="Example: riserway store restore county-backup.sqlite --store sqlite:///new.sqlite",
)
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@json_option
@store_option
def restore(file: Path, as_json: bool, store: str | None) -> int:
    """Make a store from the backup FILE, in a place where there is none yet."""
    from registry.services.back_up import restore as service

    with parts_of(store, check=False) as parts:
        found = service(parts.store, file)
    if as_json:
        print_json(as_document(found))
    else:
        print_found(found)
    return 1 if found.problems else 0
