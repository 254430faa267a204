"""``riserway person``: what is kept about a person, taking it out, erasing it."""

from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.cli.options import json_option, print_json, say, store_option
from registry.cli.visit import as_dispatcher, firm_option

if TYPE_CHECKING:
    from datetime import datetime

    from registry.records.changes import Viewer


staff_option = click.option(
    "--staff", is_flag=True, help="Mean one of the firm's people: a technician or a sign-in."
)


@click.group("person", epilog="Example: riserway person show 'Name Of Owner'")
def command() -> None:
    """Show, take out or erase what is kept about an owner or a colleague; keep to retention."""


@command.command(epilog="Example: riserway person show 'Name Of Owner' --json")
@click.argument("called")
@staff_option
@json_option
@store_option
def show(called: str, staff: bool, as_json: bool, store: str | None) -> None:
    """Say what is kept about the owner CALLED that: a name, a phone or an e-mail address."""
    from registry.services.personal_data import Held, what_is_held
    from registry.services.staff_data import what_is_held_of_staff
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        if staff:
            found = Held(called, what_is_held_of_staff(session, _who(), called), (), ())
        else:
            found = what_is_held(session, _who(), called)
    if as_json:
        print_json(
            {"sites": found.sites, "former_sites": found.former_sites, "tables": found.tables}
        )
        return
    if not staff:
        click.echo(f"Sites: {', '.join(found.sites) or 'none'}")
        click.echo(f"Sites that were theirs: {', '.join(found.former_sites) or 'none'}")
    for name, rows in found.tables.items():
        click.echo(f"{len(rows):>6}  {name.replace('_', ' ')}")


@command.command(epilog="Example: riserway person export 'Name Of Owner' request.zip")
@click.argument("called")
@click.argument("file", type=click.Path(path_type=Path, dir_okay=False))
@staff_option
@store_option
def export(called: str, file: Path, staff: bool, store: str | None) -> None:
    """Write all that is kept about an owner to FILE (.zip), for a records request."""
    from registry.errors import FileError
    from registry.services.personal_data import take_out_person
    from registry.services.staff_data import take_out_staff
    from registry.wiring import assemble

    take_out = take_out_staff if staff else take_out_person
    with assemble(store).store.reading() as session:
        packed = take_out(session, _who(), called)
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
@staff_option
@store_option
def erase(called: str, reason: str, do: bool, staff: bool, store: str | None) -> None:
    """Blank what names an owner everywhere; visits, readings and findings stay.

    It can't be undone. Backups keep what they hold until they are thinned out.
    """
    from registry.services.personal_data import erase_person, what_is_held
    from registry.services.staff_data import erase_staff, what_is_held_of_staff
    from registry.wiring import assemble

    parts = assemble(store)
    if not do and staff:
        with parts.store.reading() as session:
            tables = what_is_held_of_staff(session, _who(), called)
        rows = sum(len(one) for one in tables.values())
        say(f"Nothing is changed yet. It is about {rows} rows. Say --do to erase.")
        return
    if not do:
        with parts.store.reading() as session:
            found = what_is_held(session, _who(), called)
        where = ", ".join((*found.sites, *found.former_sites))
        say(f"Nothing is changed yet. It is about the sites {where}. Say --do to erase.")
        return
    work = erase_staff if staff else erase_person
    with parts.store.session() as session:
        changed = work(session, _who(), called, reason, parts.now())
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


@command.command(epilog="Example: riserway person sale S-0042 --on 2026-06-01 --name 'A. Example'")
@click.argument("site")
@click.option("--on", "sold_on", type=click.DateTime(["%Y-%m-%d"]), required=True, help="When.")
@click.option("--name", default="", help="The new owner's name.")
@click.option("--phone", default="", help="Phone.")
@click.option("--email", default="", help="E-mail address.")
@click.option("--address", default="", help="Postal address.")
@click.option("--takes-over", is_flag=True, help="The agreement goes on; else it ends that day.")
@click.option("--undo", is_flag=True, help="Take the sale of that day back instead.")
@firm_option
@store_option
def sale(
    site: str,
    sold_on: "datetime",
    name: str,
    phone: str,
    email: str,
    address: str,
    takes_over: bool,
    undo: bool,
    firm: str | None,
    store: str | None,
) -> None:
    """Note that SITE was sold: the file stays, what was the old owner's is emptied.

    Gate code, hours, notes and who lives there are asked anew; the history keeps what they were.
    """
    from registry.errors import NotFoundError
    from registry.services.change_owner import NewOwner, change_owner, sale_form, undo_sale
    from registry.store.sites import site_named

    on = sold_on.date()
    with as_dispatcher(store, firm) as (parts, session, viewer):
        site_id = site_named(session, site, viewer.firm_id).id
        if undo:
            known = sale_form(session, viewer, site_id, parts.today).sales
            found = [one for one in known if one.stands and f"sold on {on};" in one.said]
            if not found:
                raise NotFoundError(f"No sale of {on} stands on the file of site {site}.")
            undo_sale(session, viewer, found[0].change_id, parts.now(), parts.today)
            say("Taken back: the file is as it was before the sale.")
            return
        new = NewOwner(owner_name=name, owner_phone=phone, owner_email=email, owner_address=address)
        changed = change_owner(
            session,
            viewer,
            site_id,
            on,
            new,
            parts.now(),
            parts.today,
            takes_over=takes_over,
        )
    say(f"Changed: {', '.join(one.lower() for one in changed) or 'nothing'}.")
