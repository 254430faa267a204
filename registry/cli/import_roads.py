"""``riserway import roads``: the road network and the base map from an OpenStreetMap file."""

import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.services.import_roads import RoadImport

BAR = 24
WIDEST = 44


@click.command(
    "roads",
    epilog="Example: riserway import roads county.osm.pbf",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--credit",
    default="",
    help="Whose credit stands on every map. [default: © OpenStreetMap contributors]",
)
@store_option
@json_option
def command(file: Path, credit: str, store: str | None, as_json: bool) -> None:
    """Make the road network and the base map from FILE (.osm.pbf, .osm, .osm.gz, .osm.bz2).

    The network in use before stays in use until the new one is whole.
    """
    from datetime import UTC, datetime

    from registry.config import settings
    from registry.roads.network import build_network
    from registry.services.import_roads import import_roads

    done = import_roads(
        file,
        settings(store).folder / "roads",
        credit=credit,
        now=datetime.now(UTC),
        build=build_network,
        progress=show_progress,
    )
    for warning in done.counts.warnings:
        say(warning)
    if as_json:
        counts = {
            key: value
            for key, value in asdict(done.counts).items()
            if key in {"read", "added", "changed", "unchanged", "rejected", "rejects_file"}
        }
        about = asdict(done.network) | {"built_at": done.network.built_at.isoformat()}
        print_json(counts | {"network": about})
    else:
        click.echo(_sentences(done))


def show_progress(text: str, share: float) -> None:
    """Draw a bar on the terminal's error stream; say nothing where nobody looks."""
    if not sys.stderr.isatty():
        return
    filled = round(share * BAR)
    bar = "█" * filled + "·" * (BAR - filled)
    click.echo(f"\r{bar} {text:<{WIDEST}}", err=True, nl=share >= 1)


def _sentences(done: "RoadImport") -> str:
    network = done.network
    engine = (
        f"Travel times come from OSRM {network.engine_version}."
        if network.engine == "osrm"
        else f"Travel times come from Dijkstra, because {network.why_not_osrm}."
    )
    told = "was in use already" if done.counts.unchanged else "is in use now"
    return "\n".join(
        (
            f"The road network of {network.source_file} {told}: {network.ways:,} ways, "
            f"{network.length_km:,.0f} km, {network.junctions:,} junctions, "
            f"{network.joined_share:.1%} of them joined.",
            engine,
            f"Base map: {', '.join(network.themes) or 'none'}. Credit: {network.credit}.",
        )
    )
