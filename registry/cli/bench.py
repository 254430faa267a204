"""``riserway bench``: times the solver, the roads and the store, each imported when called."""

from importlib import import_module

import click

PARTS = {
    "solve": ("registry.cli.bench_solve", "Solve a published day or instance as plan would."),
    "compare": ("registry.cli.bench_compare", "Set the engine of plan beside others."),
    "roads": ("registry.cli.bench_roads", "Build a road network and a matrix of travel times."),
    "pages": ("registry.cli.bench_pages", "Move visits of a full day in a browser, and time it."),
    "store": ("registry.cli.bench_store", "Time the queries behind the pages on invented sites."),
    "high-water": ("registry.cli.bench_high_water", "Time stages of a river on many systems."),
    "season": ("registry.cli.bench_season", "Compare a season's driving with two habits."),
    "load": ("registry.cli.bench_load", "Ask tiles of the county map at rising rates."),
}
"""Name → (module holding a click command called ``command``, one line for ``--help``)."""


class BenchParts(click.Group):
    """The parts of ``bench``, listed without importing any of them."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the names of the parts."""
        return list(PARTS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import and return one part, None if there is no such part."""
        if cmd_name not in PARTS:
            return None
        command: click.Command = import_module(PARTS[cmd_name][0]).command
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list of parts."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, line) in PARTS.items()])


@click.group(cls=BenchParts, epilog="Example: riserway bench solve day60.json --seconds 10 --json")
def command() -> None:
    """Time the solver, the roads and the store on data of your own or published ones."""
