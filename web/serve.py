"""``riserway serve``: the pages over waitress, on every platform."""

import os
import secrets
import ssl
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

import click

from registry.config import county_sign_in
from registry.wiring import Parts, assemble
from web import log_lines
from web.listening import Listening, ListeningByHttps

if TYPE_CHECKING:
    from flask import Flask


@click.command("serve", epilog="Example: riserway serve --host 127.0.0.1 --port 8000")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port", default=8000, show_default=True, help="Port to listen on; 0 = any free one."
)
@click.option("--threads", default=8, show_default=True, help="Requests answered at once.")
@click.option(
    "--certificate",
    type=click.Path(path_type=Path),
    default=None,
    metavar="FILE",
    help="Serve by https with this certificate (PEM).",
)
@click.option(
    "--key",
    type=click.Path(path_type=Path),
    default=None,
    metavar="FILE",
    help="The certificate's key (PEM).",
)
@click.option(
    "--behind-https", is_flag=True, help="Browsers come by https (a reverse proxy does it)."
)
@click.option(
    "--proxy",
    "proxies",
    multiple=True,
    metavar="ADDRESS",
    help="With --behind-https: the proxy's address (repeatable). [default: 127.0.0.1]",
)
@click.option(
    "--on",
    type=click.DateTime(["%Y-%m-%d"]),
    default=None,
    help="Serve as if it were this date. [default: today]",
)
@click.option(
    "--seconds",
    type=click.FloatRange(0.1),
    default=None,
    help="How long ordering a day from its page searches. [10]",
)
@click.option(
    "--log",
    "log_as",
    type=click.Choice(["plain", "json"]),
    default="plain",
    show_default=True,
    help="The log: warnings as text, or every request as a line of JSON.",
)
@click.option("--store", metavar="URL", default=None, help="The store as an SQLAlchemy URL.")
def serve(  # noqa: PLR0913, PLR0917 - click passes each option as an argument
    host: str,
    port: int,
    threads: int,
    certificate: Path | None,
    key: Path | None,
    behind_https: bool,
    proxies: tuple[str, ...],
    on: datetime | None,
    seconds: float | None,
    log_as: str,
    store: str | None,
) -> None:
    """Serve the pages until stopped."""
    way = _way(certificate, key, behind_https=behind_https, proxies=proxies)
    parts = assemble(store, fixed_today=on.date() if on else None)
    run(parts, host=host, port=port, threads=threads, way=way, search_s=seconds, log_as=log_as)


@dataclass(frozen=True, slots=True)
class Way:
    """How browsers come: plainly, by https, or by a proxy's https.

    ``proxies`` are the only addresses whose word for the client's address and scheme is taken;
    ``warnings`` are about the certificate.
    """

    context: ssl.SSLContext | None = None
    proxies: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def _way(
    certificate: Path | None, key: Path | None, *, behind_https: bool, proxies: tuple[str, ...]
) -> Way:
    from registry.services.check_certificate import tls_context

    if (certificate is None) != (key is None):
        raise click.UsageError("--certificate and --key go together: name both PEM files.")
    if certificate is not None and behind_https:
        raise click.UsageError("Either a proxy does https (--behind-https), or --certificate here.")
    if proxies and not behind_https:
        raise click.UsageError("--proxy goes with --behind-https.")
    if certificate is None or key is None:
        return Way(proxies=(proxies or ("127.0.0.1",)) if behind_https else ())
    context, about = tls_context(certificate, key, Parts.now())
    return Way(context, names=about.names, warnings=about.warnings)


PLAINLY = Way()


def run(
    parts: Parts,
    *,
    host: str = "127.0.0.1",
    port: int = 8000,
    threads: int = 8,
    way: Way = PLAINLY,
    search_s: float | None = None,
    note: str = "",
    log_as: str = "plain",
) -> None:
    """Serve opened parts; prints the address once it listens, then ``note``."""
    from registry.services.order_day import close_lost_jobs
    from web.app import create_app
    from web.issuer import Issuer
    from web.start_job import SEARCH_S, is_alive

    county = county_sign_in()

    log_lines.set_up(log_as)
    with parts.store.session() as session:
        close_lost_jobs(session, is_alive, parts.now())
    app = create_app(
        parts,
        secret=server_secret(parts.folder),
        by_https=way.context is not None,
        proxies=way.proxies,
        search_s=search_s or SEARCH_S,
        county=Issuer(county) if county else None,
    )
    try:
        server = _listening(app, host, port, threads, way)
    except OSError as wrong:
        raise click.ClickException(
            f"Port {port} on {host} is not free ({wrong.strerror}). Choose another with --port."
        ) from wrong
    for one in _where(way, host, server.port):
        click.echo(one, err=True)
    if note:
        click.echo(note.replace("{port}", str(server.port)), err=True)
    try:
        server.run()
        click.echo("Stopped.", err=True)
    finally:
        server.close()
        parts.store.close()


def _listening(app: "Flask", host: str, port: int, threads: int, way: Way) -> Listening:
    if way.context is None:
        return Listening(app, host=host, port=port, threads=threads)
    return ListeningByHttps(app, host=host, port=port, threads=threads, context=way.context)


def _where(way: Way, host: str, port: int) -> list[str]:
    """Return what to say of where the server answers, and by which names phones may come."""
    if way.context is None:
        return [f"Riserway answers on http://{host}:{port}/"]
    by_name = ", ".join(f"https://{one}:{port}/" for one in way.names)
    return [
        f"Riserway answers on https://{host}:{port}/",
        f"The certificate is for: {by_name}. By any other name browsers refuse.",
        *way.warnings,
    ]


def server_secret(folder: Path) -> str:
    """Return this installation's secret, made once and readable by its owner only."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "server-secret"
    if not file.exists():
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as out:
            out.write(secrets.token_hex(32))
    return file.read_text().strip()
