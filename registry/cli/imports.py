"""``riserway import``: one subcommand for every kind of file; each in a module of its own."""

from importlib import import_module

import click

COMMANDS = {
    "crew": ("registry.cli.import_crew", "command", "Firm, jurisdictions, crew, trucks (TOML)."),
    "sites": ("registry.cli.import_sites", "command", "Sites with their systems."),
    "systems": ("registry.cli.import_parts", "systems", "Further systems of a site (CSV)."),
    "components": ("registry.cli.import_parts", "components", "Parts of systems (CSV)."),
    "windows": ("registry.cli.import_parts", "windows", "Hours when owners open (CSV)."),
    "agreements": ("registry.cli.import_parts", "agreements", "Service agreements (CSV)."),
    "conditions": ("registry.cli.import_parts", "conditions", "Permit conditions (CSV)."),
    "parcels": ("registry.cli.import_places", "command", "Parcels or address points."),
    "flood": ("registry.cli.import_flood", "command", "Flood hazard areas and base flood lines."),
    "offsets": ("registry.cli.import_offsets", "command", "A grid of vertical datum offsets."),
    "roads": ("registry.cli.import_roads", "command", "The road network."),
    "rules": ("registry.cli.import_rules", "command", "Task kinds and interval rules (TOML)."),
    "gauges": ("registry.cli.import_rivers", "gauges", "Gauges of rivers (CSV)."),
    "river": ("registry.cli.import_rivers", "river", "Centrelines with river stations (layer)."),
    "levels": ("registry.cli.import_rivers", "levels", "Water levels by stage (CSV)."),
    "stages": ("registry.cli.import_rivers", "stages", "Stages read or forecast (CSV)."),
    "low-points": ("registry.cli.import_rivers", "low_points", "Low points of roads (CSV)."),
    "readings": ("registry.cli.import_parts", "readings", "Past visits and readings (CSV)."),
    "licences": ("registry.cli.import_reports", "licences", "Who is licensed (CSV)."),
    "reports": ("registry.cli.import_reports", "reports", "Reports of other firms (CSV)."),
}
"""Name → (module, the click command in it, one line for ``--help``)."""


class _Kinds(click.Group):
    """A group whose commands are imported when called, not when listed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the names of all kinds, in the order in which files are imported."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import and return one command, None if there is no such kind."""
        if cmd_name not in COMMANDS:
            return None
        module, name, _ = COMMANDS[cmd_name]
        command: click.Command = getattr(import_module(module), name)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list of kinds without importing any of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, line) for name, (_, _, line) in COMMANDS.items()])


@click.group("import", cls=_Kinds, epilog="Example: riserway import sites county.csv")
def command() -> None:
    """Read files; the same file given twice changes nothing. See docs/import.md."""
