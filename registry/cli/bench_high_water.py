"""``riserway bench high-water``: fill a scratch store with a valley and time its stages."""

import tempfile
from contextlib import closing
from pathlib import Path

import click

from registry.cli.options import json_option, print_json


@click.command("high-water", epilog="Example: riserway bench high-water --systems 50000 --json")
@click.option(
    "--systems",
    type=click.IntRange(10, 500_000),
    default=50_000,
    show_default=True,
    help="How many invented systems beside the river.",
)
@click.option(
    "--store",
    metavar="URL",
    default=None,
    help="A new file or an empty database, filled and then cleared. [default: a file that goes]",
)
@json_option
def command(systems: int, store: str | None, as_json: bool) -> None:
    """Fill a scratch store with a river valley and time what the High water page asks.

    RISERWAY_STORE is not looked at, so that no store of yours is filled by mistake.
    """
    from registry.services.bench_high_water import bench_high_water
    from registry.store.opening import open_store

    with tempfile.TemporaryDirectory() as scratch:
        url = store or f"sqlite:///{Path(scratch) / 'bench.sqlite'}"
        with closing(open_store(url)) as opened:
            answer = bench_high_water(opened, systems)
    if as_json:
        print_json(answer)
        return
    for name, value in answer.items():
        click.echo(f"{name:18} {value}")
