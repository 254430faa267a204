"""``riserway hydraulics``: the arithmetic of pressure distribution, tanks and readings."""

from collections.abc import Callable
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json

if TYPE_CHECKING:
    from registry.hydraulics.given import Section
    from registry.services.field_hydraulics import Answer

SECTIONS = (
    "supply", "manifold", "lateral", "purge", "squirt", "tank", "flow", "solids",
    "squirt_series", "well",
)  # fmt: skip

CAUTION = "Local code and licensed practice come first. This is an aid, not a design or a permit."


@click.group(epilog="Example: riserway hydraulics example")
def command() -> None:
    """Work out purges, networks, flows, tanks and trends from a file of figures.

    FILE is TOML or JSON; “riserway hydraulics example” prints one to change.
    """


@command.command("example", epilog="Example: riserway hydraulics example")
def example() -> None:
    """Print an invented file of figures with a word on each."""
    from registry.cli.hydraulics_example import EXAMPLE

    click.echo(EXAMPLE, nl=False)


def _add(name: str, told: str, module: str, function: str) -> None:
    """Add a command that reads FILE, asks one service and prints its answer."""

    def run(file: Path, as_json: bool) -> None:
        from importlib import import_module

        ask: Callable[[Section], Answer] = getattr(import_module(module), function)
        _tell(ask(read_figures(file)), as_json)

    wrapped = click.argument("file", type=click.Path(path_type=Path))(json_option(run))
    wrapped.__doc__ = told
    command.command(name, epilog=f"Example: riserway hydraulics {name} field.toml")(wrapped)


_field = partial(_add, module="registry.services.field_hydraulics")
_tank = partial(_add, module="registry.services.tank_hydraulics")
_field(
    "purge",
    "Plan the purge of the field in FILE: each lateral's flow, speed, seconds and water.",
    function="purge_of",
)
_field("network", "Show head and flow at every orifice of FILE's field.", function="network_of")
_field("explain", "Say what the squirt heights in FILE fit.", function="explain_answer")
_field("balance", "Say which valve of FILE's field to turn how far.", function="balance_answer")
_tank("flow", "Show daily flow by counter and hour meter from FILE.", function="flow_answer")
_tank("tank", "Show volumes, float drop and reserve of FILE's tank.", function="tank_answer")
_tank("series", "Show what FILE's readings come to over the years.", function="series_answer")


@command.command("bench", epilog="Example: riserway hydraulics bench --json")
@click.option("--laterals", type=click.IntRange(1, 100), default=10, show_default=True)
@click.option("--holes", type=click.IntRange(1, 400), default=40, show_default=True)
@click.option("--times", type=click.IntRange(1, 1000), default=50, show_default=True)
@json_option
def bench(laterals: int, holes: int, times: int, as_json: bool) -> None:
    """Time the solving of one network of so many laterals and holes each."""
    from time import perf_counter

    from registry.hydraulics import Lateral, Network, Supply, pump_curve, solve_network

    network = Network(
        supply=Supply(
            pump=pump_curve([(0, 60), (60, 50), (120, 30), (160, 5)]),
            lift_ft=10.0,
            pipe_in=3.068,
            length_ft=100.0,
        ),
        manifold_in=2.067,
        laterals=tuple(
            Lateral(label=str(k), holes=holes, pipe_in=1.610, at_ft=4.0 * k, raised_ft=0.02 * k)
            for k in range(laterals)
        ),
    )
    took_ms = []
    for _ in range(times):
        begun = perf_counter()
        solve_network(network)
        took_ms.append((perf_counter() - begun) * 1000)
    took_ms.sort()
    found = {
        "laterals": laterals,
        "holes": holes,
        "least_ms": round(took_ms[0], 2),
        "middle_ms": round(took_ms[len(took_ms) // 2], 2),
        "longest_ms": round(took_ms[-1], 2),
    }
    if as_json:
        print_json(found)
    else:
        click.echo(
            f"{laterals} laterals of {holes} holes: {found['middle_ms']} ms, "
            f"from {found['least_ms']} to {found['longest_ms']}."
        )


def read_figures(path: Path) -> "Section":
    """Return the sections of a TOML or JSON file.

    Raises
    ------
    FileError
        If it cannot be read, is neither, or has a section that is not known.
    """
    import json
    import tomllib

    from registry.errors import FileError

    try:
        text = path.read_text(encoding="utf-8")
        figures = json.loads(text) if path.suffix == ".json" else tomllib.loads(text)
    except FileNotFoundError as wrong:
        raise FileError(f"There is no file {path}.") from wrong
    except OSError as wrong:
        raise FileError(f"{path.name} cannot be opened: {wrong.strerror}.") from wrong
    except UnicodeDecodeError as wrong:
        raise FileError(f"{path.name} is not in UTF-8. Save it so.") from wrong
    except ValueError as wrong:
        raise FileError(f"{path.name} is neither TOML nor JSON: {wrong}.") from wrong
    if not isinstance(figures, dict):
        raise FileError(f"{path.name} must hold sections by their names.")
    unknown = sorted(set(figures) - set(SECTIONS))
    if unknown:
        raise FileError(f"{path.name}: [{unknown[0]}] is not known. Known: {', '.join(SECTIONS)}.")
    return figures


def _tell(answer: "Answer", as_json: bool) -> None:
    if as_json:
        print_json(answer.as_json())
        return
    for name, value in answer.results.items():
        click.echo(f"{name:24}{_shown(value)}")
    if answer.rows:
        names = [name for name, value in answer.rows[0].items() if not isinstance(value, list)]
        table = [names, *([_shown(row[name]) for name in names] for row in answer.rows)]
        widths = [max(len(line[k]) for line in table) for k in range(len(names))]
        click.echo("")
        for line in table:
            cells = (cell.ljust(width) for cell, width in zip(line, widths, strict=True))
            click.echo("  ".join(cells).rstrip())
    click.echo("")
    for note in answer.notes:
        click.echo(note)
    click.echo("\nFormulas")
    for one in answer.formulas:
        differs = f" Published sources differ: {one.disagrees}." if one.disagrees else ""
        told = "; ".join((one.says, one.inputs, one.source, one.holds))
        click.echo(f"- {one.name}: {told}.{differs}")
    click.echo(CAUTION)


def _shown(value: object) -> str:
    if value is None:
        return "-"
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.4g}" if isinstance(value, float) else str(value)
