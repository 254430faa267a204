"""The ``riserway`` command: its modules are imported only when asked for, so help is quick."""

import sys
from importlib import import_module
from importlib.metadata import entry_points

import click

from registry import __version__
from registry.cli.endings import run_with_clear_endings

COMMANDS = {
    "demo": ("registry.cli.demo", "Make the invented county, order the day, serve it."),
    "store": ("registry.cli.store", "Make, migrate, verify, copy and back up a store."),
    "import": ("registry.cli.imports", "Read sites, flood layers, roads, rules or readings."),
    "flag": ("registry.cli.flag", "Work out flood flags and freeboard for every site."),
    "due": ("registry.cli.due", "List what is due, oldest first, and why."),
    "plan": ("registry.cli.plan", "Order one day's visits for all technicians."),
    "visit": ("registry.cli.visit", "Hold visits, keep technicians away, let sites follow."),
    "errand": ("registry.cli.errand", "Add, list and remove stops at places outside."),
    "why": ("registry.cli.why", "Say why a site's visit waits, or why it is where it is."),
    "what-if": ("registry.cli.what_if", "Say what would be different; nothing is kept."),
    "today": ("registry.cli.today", "Note how a day goes, and order again what is open."),
    "report": ("registry.cli.report", "List reports owed, note what was sent or mended."),
    "letters": ("registry.cli.letters", "Write letters to owners of overdue systems."),
    "season": ("registry.cli.season", "Put every visit of the next year into a week."),
    "high-water": ("registry.cli.high_water", "Say what a river stage puts under water."),
    "before-water": ("registry.cli.before_water", "Say what to do before a river is there."),
    "estimate-level": ("registry.cli.estimate_level", "Estimate a flood level without a BFE."),
    "roads": ("registry.cli.roads", "Show and set the speeds of roads."),
    "closure": ("registry.cli.closure", "Close roads, list what is closed, open them again."),
    "match": ("registry.cli.match", "Decide which sites the rows of another source are."),
    "site": ("registry.cli.site", "Show and change a site's file; merge two records of one site."),
    "undo": ("registry.cli.undo", "List imports and take one back."),
    "locate": ("registry.cli.locate", "Find the places of sites that have none."),
    "areas": ("registry.cli.areas", "Compare sites with the polygons of a layer."),
    "export": ("registry.cli.export", "Write sites, overdue systems or a day to a file."),
    "photo": ("registry.cli.photo", "List, save and take back photos of sites."),
    "user": ("registry.cli.user", "Add, list, sign out and block sign-ins."),
    "person": ("registry.cli.person", "Show, take out or erase what is kept of a person."),
    "phone": ("registry.cli.phone", "List the technicians' phones, sign a lost one out."),
    "certificate": ("registry.cli.certificate", "Make and check a certificate for https."),
    "hydraulics": ("registry.cli.hydraulics", "Work out purges, squirt heights, flows, tanks."),
    "bench": ("registry.cli.bench", "Time the solver, the roads and the store."),
}
"""Name → (module holding a click command called ``command``, one line for ``--help``)."""


class LateCommands(click.Group):
    """A group whose commands are imported when called, not when listed."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the names of all commands, those of other packages included."""
        return [*COMMANDS, *(entry.name for entry in entry_points(group="riserway.commands"))]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002
        """Import and return one command, None if there is no such command."""
        if cmd_name in COMMANDS:
            command: click.Command = import_module(COMMANDS[cmd_name][0]).command
            return command
        for entry in entry_points(group="riserway.commands", name=cmd_name):
            loaded: click.Command = entry.load()
            return loaded
        return None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002
        """Write the list of commands without importing any of them."""
        rows = [(name, line) for name, (_, line) in COMMANDS.items()]
        rows += [
            (entry.name, "Serve the pages.") for entry in entry_points(group="riserway.commands")
        ]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


@click.group(
    cls=LateCommands,
    context_settings={"help_option_names": ["-h", "--help"]},
    epilog="Example: riserway demo",
)
@click.version_option(__version__, prog_name="riserway")
def cli() -> None:
    """Keep a registry of onsite wastewater systems and plan the routes that service them."""


def main() -> None:
    """Run the command line; exit codes are those of docs/commands.md."""
    sys.exit(run_with_clear_endings(cli))


if __name__ == "__main__":
    main()
