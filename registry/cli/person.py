"""``riserway person``: what is kept about a person, taking it out, erasing it."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer


@click.group("person", epilog="Example: riserway person show 'Name Of Owner'")
def command() -> None:
    """Show, take out or erase what is kept about an owner; say how long data are kept."""


@command.command(epilog="Example: riserway person show 'Name Of Owner' --json")
@click.argument("called")
@json_option
@store_option
def show(called: str, as_json: bool, store: str | None) -> None:
    """Say what is kept about the owner CALLED that: a name, a phone or an e-mail address."""
    from registry.services.personal_data import what_is_held
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        found = what_is_held(session, _who(), called)
    if as_json:
        print_json(
            {"sites": found.sites, "former_sites": found.former_sites, "tables": found.tables}
        )
        return
    click.echo(f"Sites: {', '.join(found.sites) or 'none'}")
    click.echo(f"Sites that were theirs: {', '.join(found.former_sites) or 'none'}")
    for name, rows in found.tables.items():
        click.echo(f"{len(rows):>6}  {name.replace('_', ' ')}")


@command.command(epilog="Example: riserway person export 'Name Of Owner' request.zip")
@click.argument("called")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@store_option
def export(called: str, file: Path, store: str | None) -> None:
    """Write all that is kept about an owner to FILE (.zip), for a records request."""
    from registry.errors import FileError
    from registry.services.personal_data import take_out_person
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        packed = take_out_person(session, _who(), called)
    try:
        file.write_bytes(packed)
    except OSError as wrong:
        raise FileError(f"{file.name} cannot be written: {wrong.strerror}.") from wrong
    say(f"Wrote {file.name}. Read it through before you hand it out; then keep it nowhere.")


@command.command(
    epilog="Example: riserway person erase 'Name Of Owner' --reason 'asked by letter' --do"
)
@click.argument("called")
@click.option("--reason", default="", help="Why; it stays in the history, without the name.")
@click.option("--do", is_flag=True, help="Do it; without this, only say what would be changed.")
@store_option
def erase(called: str, reason: str, do: bool, store: str | None) -> None:
    """Blank what names an owner everywhere; visits, readings and findings stay.

    It can't be undone. Backups keep what they hold until they are thinned out.
    """
    from registry.services.personal_data import erase_person, what_is_held
    from registry.wiring import assemble

    parts = assemble(store)
    if not do:
        with parts.store.reading() as session:
            found = what_is_held(session, _who(), called)
        where = ", ".join((*found.sites, *found.former_sites))
        say(f"Nothing is changed yet. It is about the sites {where}. Say --do to erase.")
        return
    with parts.store.session() as session:
        changed = erase_person(session, _who(), called, reason, parts.now())
    for name, number in changed.items():
        click.echo(f"{number:>6}  {name.replace('_', ' ')}")
    say("Erased. Backups made before still hold it: see docs/personal-data.md.")


@command.command(epilog="Example: riserway person erasures")
@json_option
@store_option
def erasures(as_json: bool, store: str | None) -> None:
    """List what was erased: when, by whom, why, how many rows; never what they held."""
    from dataclasses import asdict

    from registry.services.personal_data import past_erasures
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        found = past_erasures(session, _who())
    if as_json:
        print_json({"erasures": [asdict(one) for one in found]})
        return
    if not found:
        say("Nothing was erased so far.")
    for one in found:
        click.echo(f"{one.at:%Y-%m-%d %H:%M} UTC  {one.who}: {one.subject} ({one.reason})")


@command.command(epilog="Example: riserway person retention --do")
@click.option(
    "--rules",
    type=click.Path(path_type=Path, dir_okay=False),
    default=None,
    help="Your own rules (TOML). [default: those that come with the program]",
)
@click.option("--do", is_flag=True, help="Do it; without this, only say what would go.")
@json_option
@store_option
def retention(rules: Path | None, do: bool, as_json: bool, store: str | None) -> None:
    """Say which personal data are older than they are kept, by kind; with --do they go."""
    from dataclasses import asdict

    from registry.services.retention import keep_to, rules_in
    from registry.wiring import assemble

    parts = assemble(store)
    wanted = rules_in(rules)
    opened = parts.store.session() if do else parts.store.reading()
    with opened as session:
        found = keep_to(session, _who(), wanted, parts.today(), parts.now(), do=do)
    if as_json:
        print_json({"done": do, "kinds": [asdict(one) for one in found]})
        return
    for one in found:
        click.echo(f"{one.rows:>6}  older than {one.years} years: {one.says} ({one.source})")
    say("Done." if do else "Nothing is changed yet. Say --do to let them go.")


def _who() -> "Viewer":
    from registry.records.changes import Role, Viewer

    return Viewer(name="command line", role=Role.ADMINISTRATOR)
