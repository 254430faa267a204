"""``riserway export``: sites, overdue systems or a day, to a file chosen by its ending."""

from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.filter_options import filter_asked, filter_options
from registry.cli.options import say, store_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.services.hand_out_day import FileOut
    from registry.store import Session

ROLES = ["dispatcher", "county", "administrator"]


@click.group("export", epilog="Example: riserway export overdue --to overdue.gpkg")
def command() -> None:
    """Write sites, overdue systems or a day to a file."""


def to_option[F](function: F) -> F:
    """Add ``--to FILE``."""
    added: F = click.option(
        "--to",
        "to",
        required=True,
        type=click.Path(dir_okay=False, path_type=Path),
        help="The file; its ending says what it is.",
    )(function)  # type: ignore[type-var]  # click types its decorators for functions only
    return added


@command.command(epilog="Example: riserway export sites --to sites.csv --role county")
@to_option
@click.option("--role", type=click.Choice(ROLES), default="administrator", show_default=True)
@click.option("--firm", default=None, help="Only this firm's sites.")
@store_option
def sites(to: Path, role: str, firm: str | None, store: str | None) -> None:
    """Write all sites: .csv, .geojson or .gpkg; ``--role county`` leaves private fields out."""
    from registry.services.take_out import take_out_sites
    from registry.wiring import assemble

    with assemble(store).store.reading() as session:
        _write(to, take_out_sites(session, _viewer(session, role, firm), _ending(to)))


@command.command(epilog="Example: riserway export overdue --to overdue.geojson --on 2026-06-15")
@to_option
@click.option("--on", type=click.DateTime(["%Y-%m-%d"]), default=None, help="The date. [today]")
@click.option("--role", type=click.Choice(ROLES), default="county", show_default=True)
@click.option("--firm", default=None, help="Only this firm's sites.")
@filter_options
@store_option
def overdue(
    to: Path,
    on: datetime | None,
    role: str,
    firm: str | None,
    store: str | None,
    **asked: Any,  # noqa: ANN401 - the filters, see filter_options
) -> None:
    """Write overdue systems: .csv, .geojson, .gpkg, .gpx, or .html for a map in one file."""
    from registry.services.base_map import base_map, simplified_base
    from registry.services.take_out import take_out_overdue
    from registry.wiring import assemble

    parts = assemble(store)
    known = base_map(parts.folder)
    with parts.store.reading() as session:
        file = take_out_overdue(
            session,
            _viewer(session, role, firm),
            on.date() if on else parts.today(),
            filter_asked(session, asked),
            _ending(to),
            base=simplified_base(parts.folder) if _ending(to) == "html" else None,
            credit=known.credit if known else "",
        )
    _write(to, file)


@command.command(epilog="Example: riserway export day 2026-06-16 --to day.gpx")
@click.argument("date", type=click.DateTime(["%Y-%m-%d"]))
@to_option
@click.option("--technician", default=None, help="Only this technician's route.")
@click.option("--firm", default=None, help="Whose day. [default: the only firm]")
@store_option
def day(
    date: datetime, to: Path, technician: str | None, firm: str | None, store: str | None
) -> None:
    """Write a planned day: .csv, .geojson, .gpx, .ics, or .html for a map in one file."""
    from registry.services.base_map import simplified_base
    from registry.services.hand_out_day import hand_out_day
    from registry.services.new_viewer import technician_named
    from registry.wiring import assemble

    parts = assemble(store)
    with parts.store.reading() as session:
        viewer = _viewer(session, "dispatcher", firm)
        who = technician_named(session, viewer, technician) if technician else None
        file = hand_out_day(
            session,
            viewer,
            date.date(),
            _ending(to),
            technician_id=who,
            base=simplified_base(parts.folder) if _ending(to) == "html" else None,
        )
    _write(to, file)


def _viewer(session: "Session", role: str, firm: str | None) -> "Viewer":
    from registry.services.new_viewer import viewer_for

    return viewer_for(
        session, name="command line", role=role, firm=firm, technician=None, jurisdictions=()
    )


def _ending(to: Path) -> str:
    return to.suffix.lower().lstrip(".")


def _write(to: Path, file: "FileOut") -> None:
    try:
        to.write_bytes(file.body)
    except OSError as wrong:
        raise click.ClickException(f"{to} cannot be written ({wrong.strerror}).") from wrong
    say(f"Wrote {to} ({len(file.body):,} bytes).")
