"""``riserway user``: add, list, sign out and block sign-ins."""

import sys

import click

from registry.cli.options import json_option, print_json, say, store_option


@click.group("user", epilog="Example: riserway user add office --role dispatcher --firm 'Our Firm'")
def command() -> None:
    """Add, list, sign out and block sign-ins."""


@command.command(
    epilog="Example: riserway user add clerk --role county --jurisdiction 'Our County'"
)
@click.argument("name")
@click.option(
    "--role",
    required=True,
    type=click.Choice(["dispatcher", "technician", "county", "administrator"]),
    help="What the sign-in may see and do.",
)
@click.option("--firm", default=None, help="The firm it works for. [default: the only one]")
@click.option("--technician", default=None, help="The technician whose routes it sees.")
@click.option("--jurisdiction", multiple=True, help="A jurisdiction it sees (county; repeatable).")
@store_option
def add(
    name: str,
    role: str,
    firm: str | None,
    technician: str | None,
    jurisdiction: tuple[str, ...],
    store: str | None,
) -> None:
    """Add a sign-in; the password is asked for, or read from standard input."""
    from registry.services.new_viewer import viewer_for
    from registry.services.users import add_user
    from registry.wiring import assemble

    parts = assemble(store)
    if sys.stdin.isatty():
        password = click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
    else:
        password = sys.stdin.readline().rstrip("\r\n")
    with parts.store.session() as session:
        viewer = viewer_for(
            session,
            name=name,
            role=role,
            firm=firm,
            technician=technician,
            jurisdictions=jurisdiction,
        )
        add_user(session, viewer, password, parts.now())
    say(f"Added {name} as {role}.")


@command.command("list", epilog="Example: riserway user list --json")
@json_option
@store_option
def list_(as_json: bool, store: str | None) -> None:
    """List all sign-ins."""
    from registry.services.users import list_users
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        rows = [
            {"name": one.viewer.name, "role": one.viewer.role.value, "active": one.active}
            for one in list_users(session)
        ]
    if as_json:
        print_json(rows)
        return
    for row in rows:
        click.echo(
            f"{row['name']:24} {row['role']:14} {'' if row['active'] else 'blocked'}".rstrip()
        )


@command.command(epilog="Example: riserway user block office")
@click.argument("name")
@store_option
def block(name: str, store: str | None) -> None:
    """Block a sign-in; whoever uses it now is signed out, its phones too."""
    from registry.services.users import block_user
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        block_user(session, name, "command line", parts.now())
    say(f"Blocked {name}.")


@command.command("sign-out", epilog="Example: riserway user sign-out office")
@click.argument("name")
@store_option
def sign_out(name: str, store: str | None) -> None:
    """End every session of a sign-in, on computers and phones; it may sign in again."""
    from registry.services.users import end_sessions
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        end_sessions(session, name, "command line", parts.now())
    say(f"Signed {name} out everywhere. Its phones destroy what they carry when next in touch.")
