"""``riserway serve``: the pages over waitress, on every platform."""

import logging
import os
import secrets
from datetime import datetime
from pathlib import Path

import click

from registry.wiring import Parts, assemble


@click.command("serve", epilog="Example: riserway serve --host 127.0.0.1 --port 8000")
@click.option("--host", default="127.0.0.1", show_default=True, help="Address to listen on.")
@click.option(
    "--port", default=8000, show_default=True, help="Port to listen on; 0 = any free one."
)
@click.option("--threads", default=8, show_default=True, help="Requests answered at once.")
@click.option(
    "--behind-https", is_flag=True, help="Browsers come by https (a reverse proxy does it)."
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
@click.option("--store", metavar="URL", default=None, help="The store as an SQLAlchemy URL.")
def serve(
    host: str,
    port: int,
    threads: int,
    behind_https: bool,
    on: datetime | None,
    seconds: float | None,
    store: str | None,
) -> None:
    """Serve the pages until stopped."""
    parts = assemble(store, fixed_today=on.date() if on else None)
    run(
        parts,
        host=host,
        port=port,
        threads=threads,
        behind_https=behind_https,
        search_s=seconds,
    )


def run(
    parts: Parts,
    *,
    host: str = "127.0.0.1",
    port: int = 8000,
    threads: int = 8,
    behind_https: bool = False,
    search_s: float | None = None,
    note: str = "",
) -> None:
    """Serve opened parts; prints the address once it listens, then ``note``."""
    from waitress import create_server

    from registry.services.order_day import close_lost_jobs
    from web.app import create_app
    from web.start_job import SEARCH_S, is_alive

    logging.basicConfig(level=logging.WARNING, format="%(asctime)s %(levelname)s %(message)s")
    with parts.store.session() as session:
        close_lost_jobs(session, is_alive, parts.now())
    app = create_app(
        parts,
        secret=server_secret(parts.folder),
        behind_https=behind_https,
        search_s=search_s or SEARCH_S,
    )
    try:
        server = create_server(app, host=host, port=port, threads=threads, ident="riserway")
    except OSError as wrong:
        raise click.ClickException(
            f"Port {port} on {host} is not free ({wrong.strerror}). Choose another with --port."
        ) from wrong
    click.echo(f"Riserway answers on http://{host}:{server.effective_port}/", err=True)
    if note:
        click.echo(note.replace("{port}", str(server.effective_port)), err=True)
    try:
        server.run()
    except KeyboardInterrupt:
        click.echo("Stopped.", err=True)
    finally:
        server.close()
        parts.store.close()


def server_secret(folder: Path) -> str:
    """Return this installation's secret, made once and readable by its owner only."""
    folder.mkdir(parents=True, exist_ok=True)
    file = folder / "server-secret"
    if not file.exists():
        handle = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w") as out:
            out.write(secrets.token_hex(32))
    return file.read_text().strip()
