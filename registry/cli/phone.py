"""``riserway phone``: list the technicians' phones, sign a lost one out."""

from datetime import datetime

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option


@click.group("phone", epilog="Example: riserway phone list")
def command() -> None:
    """List the technicians' phones, sign a lost one out; they are paired on the page Phones."""


@command.command("list", epilog="Example: riserway phone list --json")
@firm_option
@json_option
@store_option
def list_(firm: str | None, as_json: bool, store: str | None) -> None:
    """List phones: whose, when last seen, whether signed out and wiped."""
    from dataclasses import asdict

    from registry.services.phones import list_phones
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        found = list_phones(session, office(session, firm))
    if as_json:
        print_json({"phones": [asdict(one) for one in found]})
        return
    if not found:
        say("No phone is paired yet. The page Phones pairs one.")
    for one in found:
        ended = ""
        if one.signed_out_at is not None:
            wiped = f"wiped {_minute(one.wiped_at)}" if one.wiped_at else "not wiped yet"
            ended = f"signed out {_minute(one.signed_out_at)}, {wiped}"
        seen = f"seen {_minute(one.last_seen_at)}"
        click.echo(f"{one.id:>4}  {one.who:24} {one.name:20} {seen}  {ended}".rstrip())


@command.command("sign-out", epilog="Example: riserway phone sign-out 3")
@click.argument("number", type=int)
@firm_option
@store_option
def sign_out(number: int, firm: str | None, store: str | None) -> None:
    """Sign a phone out; when next in touch it destroys what it carries."""
    from registry.services.phones import sign_phone_out
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.session() as session:
        phone = sign_phone_out(session, office(session, firm), number, parts.now())
    say(
        f"Signed out: {phone.name} of {phone.who}. When it is next in touch it destroys what it "
        "carries; records that it has not sent are lost with it."
    )


def _minute(at: datetime) -> str:
    return f"{at:%Y-%m-%d %H:%M} UTC"
