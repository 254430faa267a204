"""``riserway undo``: taking a whole import back within the history."""

from contextlib import closing
from dataclasses import replace

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option


@click.group("undo", epilog="Example: riserway undo list")
def command() -> None:
    """List imports and take one back: all that was not changed since."""


@command.command("list", epilog="Example: riserway undo list --json")
@firm_option
@json_option
@store_option
def listed(firm: str | None, as_json: bool, store: str | None) -> None:
    """List the last imports, newest first."""
    from registry.services.undo_import import listed_imports
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store), parts.store.reading() as session:
        runs = listed_imports(session, office(session, firm))
    if as_json:
        print_json(
            {
                "imports": [
                    {
                        "number": one.id,
                        "at": one.at,
                        "who": one.who,
                        "kind": one.kind,
                        "file": one.file_name,
                        "added": one.counts.get("added", 0),
                        "changed": one.counts.get("changed", 0),
                        "undone_at": one.counts.get("undone_at"),
                    }
                    for one in runs
                ]
            }
        )
        return
    for one in runs:
        back = f", taken back {one.counts['undone_at']}" if "undone_at" in one.counts else ""
        click.echo(
            f"{one.id:>5}  {one.at:%Y-%m-%d %H:%M}  {one.kind:<10} {one.file_name}: "
            f"{one.counts.get('added', 0):,} added, {one.counts.get('changed', 0):,} changed, "
            f"by {one.who}{back}"
        )


@command.command("import", epilog="Example: riserway undo import 3 --dry-run")
@click.argument("number", type=int)
@click.option("--dry-run", is_flag=True, help="Say what would be done and do nothing.")
@firm_option
@json_option
@store_option
def take_back(
    number: int, dry_run: bool, firm: str | None, as_json: bool, store: str | None
) -> None:
    """Take import NUMBER back; what was changed since stays and is named."""
    from registry.services.after_import import after_import
    from registry.services.undo_import import kind_of, undo_import, undo_plan
    from registry.wiring import assemble

    parts = assemble(store)
    now = parts.now()
    with closing(parts.store), parts.store.session() as session:
        viewer = office(session, firm)
        if kind_of(session, number) == "reports":  # they came to an authority, not to a firm
            viewer = replace(viewer, firm_id=None)
        if dry_run:
            found = undo_plan(session, viewer, number)
        else:
            found = undo_import(session, viewer, number, now)
            for line in after_import(session, now, parts.today(), found.touched):
                say(line)
    if as_json:
        print_json(
            {
                "fields": found.n_fields,
                "rows": found.n_rows,
                "waiting": found.n_waiting,
                "stays": found.n_kept,
                "kept": [
                    {"site": one.site, "what": one.what, "why": one.why} for one in found.kept
                ],
            }
        )
        return
    would = "would be" if dry_run else "were"
    click.echo(
        f"{found.n_rows:,} added rows and {found.n_fields:,} changed fields {would} taken back, "
        f"{found.n_waiting:,} waiting rows forgotten; {found.n_kept:,} stay."
    )
    for one in found.kept:
        click.echo(f"{one.site}: {one.what} stays: {one.why}.")
