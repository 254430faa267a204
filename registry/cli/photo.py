"""``riserway photo``: list, save and take back photos of sites."""

from pathlib import Path

import click

from registry.cli.options import json_option, print_json, say, store_option
from registry.cli.visit import as_dispatcher, firm_option

EXAMPLE = "riserway photo list W-1021"


@click.group("photo", epilog=f"Example: {EXAMPLE}")
def command() -> None:
    """List, save and take back photos of sites."""


@command.command("list", epilog=f"Example: {EXAMPLE} --json")
@click.argument("site")
@json_option
@firm_option
@store_option
def list_(site: str, as_json: bool, firm: str | None, store: str | None) -> None:
    """List the photos of SITE, the newest first, those taken back among them."""
    from registry.field.photos import taken_at
    from registry.services.hold_visit import site_id_of
    from registry.services.see_photos import see_photos

    with as_dispatcher(store, firm) as (_, session, viewer):
        seen = see_photos(session, viewer, site_id_of(session, viewer, site), with_taken_back=True)
    rows = [
        {
            "id": one.id,
            "taken_at": taken_at(one).isoformat(),
            "technician": one.technician,
            "finding": seen.findings[one.finding_id].kind if one.finding_id else "",
            "caption": one.caption,
            "width_px": one.width_px,
            "height_px": one.height_px,
            "size_bytes": one.size_bytes,
            "taken_back": one.taken_back,
        }
        for one in seen.photos
    ]
    if as_json:
        print_json(rows)
        return
    for row in rows:
        said = "; ".join(filter(None, (str(row["finding"]), str(row["caption"]))))
        back = f" (taken back: {row['taken_back']})" if row["taken_back"] else ""
        click.echo(f"{row['id']}  {str(row['taken_at'])[:16]}  {said}{back}")
    if not rows:
        click.echo("None.")


@command.command(
    epilog="Example: riserway photo save 11111111-1111-4111-8111-111111111111 --to lid.jpg"
)
@click.argument("photo")
@click.option(
    "--to",
    type=click.Path(dir_okay=False, path_type=Path),
    required=True,
    help="The file to write; one that is there is not written over.",
)
@firm_option
@store_option
def save(photo: str, to: Path, firm: str | None, store: str | None) -> None:
    """Write the PHOTO with an id to a file."""
    from registry.errors import FileError
    from registry.services.see_photos import photo_file

    with as_dispatcher(store, firm) as (_, session, viewer):
        found, body = photo_file(session, viewer, photo)
    try:
        with to.open("xb") as file:
            file.write(body)
    except FileExistsError as wrong:
        raise FileError(f"{to} is there already. Choose another name with --to.") from wrong
    except OSError as wrong:
        raise FileError(f"{to} cannot be written: {wrong.strerror}.") from wrong
    say(f"{to}: {found.media_type}, {found.width_px} × {found.height_px} pixels.")


@command.command(
    "take-back",
    epilog="Example: riserway photo take-back 11111111-1111-4111-8111-111111111111 --why 'a face'",
)
@click.argument("photo")
@click.option("--why", required=True, help="Why it is shown to nobody any more.")
@firm_option
@store_option
def take_back(photo: str, why: str, firm: str | None, store: str | None) -> None:
    """Show the PHOTO with an id to nobody any more; it stays in the store with the reason."""
    from registry.services.keep_photo import take_back_photo

    with as_dispatcher(store, firm) as (parts, session, viewer):
        take_back_photo(session, viewer, photo, why, parts.now())
    say("The photo is taken back. It stays in the store.")
