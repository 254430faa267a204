"""``riserway user``: add, list, sign out and block sign-ins; their tokens."""

import sys
from datetime import datetime

import click

from registry.cli.options import json_option, print_json, say, store_option


@click.group("user", epilog="Example: riserway user add office --role dispatcher --firm 'Our Firm'")
def command() -> None:
    """Add, list, sign out and block sign-ins; give them tokens and take those back."""


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
    password = _password()
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


@command.command(epilog="Example: riserway user password office")
@click.argument("name")
@store_option
def password(name: str, store: str | None) -> None:
    """Give a sign-in another password; it is asked for, or read from standard input.

    Its sessions end; its phones stay paired.
    """
    from registry.services.users import change_password
    from registry.wiring import assemble

    parts = assemble(store)
    new = _password()
    with parts.store.session() as session:
        change_password(session, name, new)
    say(f"{name} has another password. Whoever was signed in with the old one is signed out.")


@command.command("codes-off", epilog="Example: riserway user codes-off office")
@click.argument("name")
@store_option
def codes_off(name: str, store: str | None) -> None:
    """Let a sign-in enter without one-time codes, where app and recovery codes are lost.

    Make sure first who asks. Its sessions end.
    """
    from registry.services.one_time_codes import turn_off
    from registry.wiring import assemble

    with assemble(store).store.session() as session:
        turn_off(session, name)
    say(f"{name} enters with its password alone. It can set codes up again on its own page.")


@command.command("list", epilog="Example: riserway user list --json")
@json_option
@store_option
def list_(as_json: bool, store: str | None) -> None:
    """List all sign-ins."""
    from registry.services.users import list_users
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        rows = [
            {
                "name": one.viewer.name,
                "role": one.viewer.role.value,
                "active": one.active,
                "codes": bool(one.code_key),
            }
            for one in list_users(session)
        ]
    if as_json:
        print_json(rows)
        return
    for row in rows:
        marks = ("" if row["active"] else "blocked", "codes" if row["codes"] else "")
        said = "  ".join(one for one in marks if one)
        click.echo(f"{row['name']:24} {row['role']:14} {said}".rstrip())


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


@command.command(epilog="Example: riserway user token clerk --label 'GIS in the office'")
@click.argument("name")
@click.option("--label", default="", help="What the token is for, as the list shows it.")
@click.option(
    "--reads",
    type=click.Choice(["features", "measurements"]),
    default="features",
    show_default=True,
    help="What it opens: map features for a GIS, or the server's counts for who watches it.",
)
@store_option
def token(name: str, label: str, reads: str, store: str | None) -> None:
    """Make a token by which a program reads as this sign-in; it is printed once."""
    from registry.services.tokens import make_token
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        made, secret = make_token(session, name, label, parts.now(), reads)
    click.echo(secret)
    say(
        f"This is token {made.id} of {name}. It is shown this once and reads {reads} only. Its "
        f"user name is {name}, the password is the token."
    )


@command.command(epilog="Example: riserway user calendar technician")
@click.argument("name")
@store_option
def calendar(name: str, store: str | None) -> None:
    """Make the secret address of a calendar, of routes or deadlines; it is printed once."""
    from registry.services.calendar_feed import make_feed
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        number, secret = make_feed(session, name, parts.now())
    click.echo(f"/calendar/{secret}.ics")
    say(
        f"This is token {number} of {name}. Put the server's own address in front and subscribe to "
        "it in a calendar program. It is shown this once; whoever has it sees what is in it, no "
        f"gate code or phone. End it with: riserway user revoke-token {number}."
    )


@command.command(epilog="Example: riserway user tokens clerk --json")
@click.argument("name", required=False)
@json_option
@store_option
def tokens(name: str | None, as_json: bool, store: str | None) -> None:
    """List tokens: whose, what for, when last used, whether revoked."""
    from dataclasses import asdict

    from registry.services.tokens import list_tokens
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        found = list_tokens(session, name)
    if as_json:
        print_json({"tokens": [asdict(one) for one in found]})
        return
    if not found:
        say("There is no token. Make one with: riserway user token NAME.")
    for one in found:
        used = f"used {_minute(one.last_used_at)}" if one.last_used_at else "never used"
        ended = f"revoked {_minute(one.revoked_at)}" if one.revoked_at else ""
        click.echo(f"{one.id:>4}  {one.who:24} {one.label:24} {used}  {ended}".rstrip())


@command.command("revoke-token", epilog="Example: riserway user revoke-token 3")
@click.argument("number", type=int)
@store_option
def revoke_token(number: int, store: str | None) -> None:
    """Revoke a token by its number in the list; its next request is refused."""
    from registry.services.tokens import revoke_token as revoke
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        ended = revoke(session, number, parts.now())
    say(f"Revoked token {ended.id} of {ended.who}.")


@command.command(epilog="Example: riserway user reads --site W-1002 --since 2026-06-01")
@click.option("--site", default="", metavar="NUMBER", help="Of this site. [all]")
@click.option("--who", default="", metavar="NAME", help="By this sign-in. [all]")
@click.option("--since", type=click.DateTime(["%Y-%m-%d"]), default=None, help="From this date on.")
@json_option
@store_option
def reads(site: str, who: str, since: datetime | None, as_json: bool, store: str | None) -> None:
    """List who was shown private fields, of which sites, the newest first.

    What was shown of a whole day or firm counts for each of its sites.
    """
    from dataclasses import asdict

    from registry.records.changes import Role, Viewer
    from registry.services.private_reads import see_reads
    from registry.wiring import assemble

    viewer = Viewer(name="command line", role=Role.ADMINISTRATOR)
    with assemble(store).store.reading() as session:
        found = see_reads(
            session, viewer, site=site, who=who, since=since.date() if since else None
        )
    if as_json:
        print_json({"reads": [asdict(one) for one in found]})
        return
    if not found:
        say("Nobody was shown private fields of what you ask for.")
    for one in found:
        click.echo(f"{_minute(one.at)}  {one.who:24} {one.what:24} {one.of}")


def _password() -> str:
    if sys.stdin.isatty():
        asked = click.prompt("Password", hide_input=True, confirmation_prompt=True, err=True)
        return str(asked)
    return sys.stdin.readline().rstrip("\r\n")


def _minute(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"
