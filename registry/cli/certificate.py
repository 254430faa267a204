"""``riserway certificate``: make and check a certificate for https on a firm's own network."""

from pathlib import Path

import click

from registry.cli.options import json_option, print_json, say


@click.group(
    "certificate", epilog="Example: riserway certificate make --name office.lan --to https"
)
def command() -> None:
    """Make and check a certificate for https; docs/phones.md leads through it."""


@command.command(
    epilog="Example: riserway certificate make --name office.lan --name 192.168.1.20 --to https"
)
@click.option(
    "--name",
    "names",
    required=True,
    multiple=True,
    help="A host name or an address by which phones reach the server (repeatable).",
)
@click.option(
    "--to",
    required=True,
    metavar="FOLDER",
    type=click.Path(path_type=Path, file_okay=False),
    help="Where the authority and the certificate are kept.",
)
def make(names: tuple[str, ...], to: Path) -> None:
    """Make a server's certificate, and the authority that phones trust if there is none yet."""
    from registry.services import make_certificate as made
    from registry.wiring import Parts

    is_new = made.make_certificate(to, names, Parts.now())
    if is_new:
        say(f"New authority: {to / made.AUTHORITY}. Each phone must trust it once.")
        say(f"Keep {to / made.AUTHORITY_KEY} off the network: a memory stick in a locked drawer.")
    else:
        say(f"Signed by the authority in {to}; phones that trust it have nothing to do.")
    say(f"Certificate for {', '.join(names)}, for {made.SERVER_LIFE.days} days. Serve with it:")
    say(
        f"riserway serve --host 0.0.0.0 --certificate {to / made.SERVER} "
        f"--key {to / made.SERVER_KEY}"
    )


@command.command(epilog="Example: riserway certificate check https/server.pem --name office.lan")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--key", type=click.Path(path_type=Path), default=None, help="Its key, PEM.")
@click.option("--name", default="", help="A host name or an address that it must be for.")
@json_option
def check(file: Path, key: Path | None, name: str, as_json: bool) -> None:
    """Check that a certificate holds now, fits its key and is for a name."""
    from registry.services.check_certificate import read_certificate, tls_context
    from registry.wiring import Parts

    now = Parts.now()
    about = read_certificate(file, now, name)
    if key is not None:
        tls_context(file, key, now)
    if as_json:
        print_json({"names": about.names, "ends_at": about.ends_at, "warnings": about.warnings})
        return
    click.echo(f"For {', '.join(about.names)}, until {about.ends_at:%Y-%m-%d}.")
    for one in about.warnings:
        say(one)
