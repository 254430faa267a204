"""``riserway bench store``: fill a scratch store and time the questions behind the pages."""

import tempfile
from contextlib import closing
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.options import json_option, print_json, say

if TYPE_CHECKING:
    from registry.records.due_rows import TileRows


@click.command("store", epilog="Example: riserway bench store --sites 50000 --json")
@click.option(
    "--sites",
    type=click.IntRange(100, 2_000_000),
    required=True,
    help="How many invented sites, in counties of 50,000.",
)
@click.option(
    "--store",
    metavar="URL",
    default=None,
    help="A new file or an empty database, filled and then cleared. [default: a file that goes]",
)
@click.option("--keep", is_flag=True, help="Leave the filled store of --store as it is.")
@json_option
def command(sites: int, store: str | None, keep: bool, as_json: bool) -> None:
    """Fill a scratch store with invented sites and time the questions behind the pages.

    RISERWAY_STORE is not looked at, so that no store of yours is filled by mistake.
    """
    from registry.services.bench_store import bench_store
    from registry.store.opening import open_store

    with tempfile.TemporaryDirectory() as scratch:
        url = store or f"sqlite:///{Path(scratch) / 'bench.sqlite'}"
        with closing(open_store(url)) as opened:
            answer = bench_store(
                opened, sites, encode=encoded, say=say, keep=keep and store is not None
            )
    if as_json:
        print_json(answer)
        return
    for name, value in answer.items():
        click.echo(f"{name:18} {value}")


def encoded(rows: "TileRows", tile: tuple[int, int, int]) -> bytes:
    """Return rows as a vector tile, by the library that the pages use where PostGIS makes none."""
    import mapbox_vector_tile
    import numpy as np
    import shapely

    from registry.store.cells import tile_box

    properties: list[dict[str, Any]] = [
        {
            "site": one.site,
            "kind": one.kind,
            "task": one.task,
            "due_on": str(one.due_on),
            "days_overdue": one.days_overdue,
            "share_passed": one.share_passed,
        }
        for one in rows.marks
    ] + [{"n": one.n, "n_overdue": one.n_overdue} for one in rows.squares]
    places = [one.lon_lat for one in rows.marks] + [one.centre for one in rows.squares]
    if not places:
        return b""
    west, south, east, north = tile_box(*tile)
    scale = (4096 / (east - west), 4096 / (north - south))
    across = np.rint((np.array(places, dtype=float) - (west, south)) * scale)
    features = [
        {"geometry": place, "properties": said}
        for place, said in zip(
            np.asarray(shapely.points(across), dtype=object), properties, strict=True
        )
    ]
    made: bytes = mapbox_vector_tile.encode({"name": "systems", "features": features})
    return made
