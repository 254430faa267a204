"""``riserway store``: make, migrate, verify, copy and back up a store."""

import click

from registry.cli.import_options import parts_of
from registry.cli.options import json_option, print_json, say, store_option
from registry.cli.store_backup import backup, restore
from registry.cli.store_copy import copy_in, copy_out
from registry.cli.store_found import as_document, print_found
from registry.cli.store_views import views


@click.group("store", epilog="Example: riserway store create --store sqlite:///county.sqlite")
def command() -> None:
    """Make, migrate, verify, copy and back up a store."""


for _one in (copy_out, copy_in, backup, restore, views):
    command.add_command(_one)


@command.command(epilog="Example: riserway store create --store postgresql://me@/county")
@store_option
def create(store: str | None) -> None:
    """Make a store where there is none yet; one that is there is left as it is."""
    from registry.services.look_after_store import create_store

    with parts_of(store, check=False) as parts:
        made, revision = create_store(parts.store)
    say(f"{'Made' if made else 'There is already'} a store at revision {revision}.")


@command.command(epilog="Example: riserway store upgrade")
@store_option
def upgrade(store: str | None) -> None:
    """Bring a store to this program's revision."""
    from registry.services.look_after_store import upgrade_store

    with parts_of(store, check=False) as parts:
        before, after = upgrade_store(parts.store)
    say(f"The store is at revision {after}" + ("." if before == after else f", was {before}."))


@command.command(epilog="Example: riserway store check --json")
@json_option
@store_option
def check(as_json: bool, store: str | None) -> int:
    """Verify a store: its revision, its tables, and that what it holds hangs together."""
    from registry.services.look_after_store import check_store

    with parts_of(store, check=False) as parts:
        found = check_store(parts.store)
    if as_json:
        print_json(as_document(found))
    else:
        print_found(found)
    return 1 if found.problems else 0
