"""``riserway letters``: write letters to owners of overdue systems."""

from datetime import datetime
from pathlib import Path

import click

from registry.cli.options import say, store_option
from registry.cli.visit import as_dispatcher, firm_option

DAY = click.DateTime(["%Y-%m-%d"])


@click.group("letters", epilog="Example: riserway letters write letters.csv --days 90")
def command() -> None:
    """Write letters to owners of overdue systems, and see or change what they say."""


@command.command(epilog="Example: riserway letters write letters.csv --days 90 --site W-1002")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--days", type=click.IntRange(1), default=30, show_default=True, help="At least.")
@click.option("--site", "chosen", multiple=True, metavar="NUMBER", help="Only these. [all]")
@click.option("--on", "on_date", type=DAY, default=None, help="Day of the letters. [today]")
@firm_option
@store_option
def write(
    file: Path,
    days: int,
    chosen: tuple[str, ...],
    on_date: datetime | None,
    firm: str | None,
    store: str | None,
) -> None:
    """Write a letter for each site overdue by so many days, and put all into FILE (.csv).

    Each letter is noted on the file of its site.
    """
    from registry.errors import FileError
    from registry.services.letters import letters_csv, overdue_sites, see_letters, write_letters
    from registry.services.viewer_zone import zone_of

    with as_dispatcher(store, firm) as (parts, session, viewer):
        on = on_date.date() if on_date else parts.today(zone_of(session, viewer))
        found = overdue_sites(session, viewer, on, days)
        ids = [one.site_id for one in found if not chosen or one.site in chosen]
        batch, number = write_letters(session, viewer, ids, on, parts.now())
        text = letters_csv(see_letters(session, viewer, batch))
        try:
            file.write_text(text, "utf-8", newline="")
        except OSError as wrong:
            raise FileError(f"{file.name} cannot be written: {wrong.strerror}.") from wrong
    say(f"{number:,} letters written to {file.name}, each noted on the file of its site.")


@command.command(epilog="Example: riserway letters text --from-file letter.txt")
@click.option("--from-file", type=click.Path(path_type=Path), default=None, help="Keep this text.")
@firm_option
@store_option
def text(from_file: Path | None, firm: str | None, store: str | None) -> None:
    """Print what letters say, or keep another text with fields in braces."""
    from registry.errors import FileError
    from registry.services.letters import keep_letter_text, letter_text

    with as_dispatcher(store, firm) as (_, session, viewer):
        if from_file is not None:
            try:
                given = from_file.read_text("utf-8-sig")
            except (OSError, UnicodeDecodeError) as wrong:
                raise FileError(f"{from_file.name} cannot be read as text in UTF-8.") from wrong
            keep_letter_text(session, viewer, given)
        said = letter_text(session, viewer)
    click.echo(said, nl=False)
