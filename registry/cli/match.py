"""``riserway match``: rows of another source that may be sites that are kept."""

from contextlib import closing, contextmanager
from typing import TYPE_CHECKING, Any

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from collections.abc import Collection, Iterator
    from datetime import datetime

    from registry.records.changes import Viewer
    from registry.services.decide_matches import ToMatch
    from registry.store import Session


@click.group("match", epilog="Example: riserway match list")
def command() -> None:
    """Decide which sites the rows of another source are; riserway import sites --source."""


@command.command("list", epilog="Example: riserway match list --json")
@click.option("--limit", type=click.IntRange(1, 10_000), default=50, show_default=True,
              help="At most so many rows.")  # fmt: skip
@firm_option
@json_option
@store_option
def listed(limit: int, firm: str | None, as_json: bool, store: str | None) -> None:
    """List the rows that wait, each with the sites that it may be and where they differ."""
    from registry.services.decide_matches import matches_to_decide
    from registry.wiring import assemble

    parts = assemble(store)
    with closing(parts.store), parts.store.reading() as session:
        rows, waiting = matches_to_decide(session, office(session, firm), limit=limit)
    if as_json:
        print_json({"waiting": waiting, "rows": [_told(one) for one in rows]})
        return
    click.echo(f"{waiting:,} rows wait.")
    for one in rows:
        click.echo(f"row {one.row.id}: {one.row.source} {one.row.key}")
        for each in one.candidates:
            click.echo(f"  site {each.site.key}: {each.offer.words}")
            for field in each.differences:
                click.echo(f"    {field.name}: kept “{field.kept}”, told “{field.told}”")


@command.command(epilog="Example: riserway match same 7 A-12 --field site.town")
@click.argument("row", type=int)
@click.argument("site")
@click.option("--field", "fields", multiple=True, metavar="NAME", help="Take this field only.")
@click.option("--none", "is_none", is_flag=True, help="Take no field.")
@firm_option
@store_option
def same(
    row: int, site: str, fields: tuple[str, ...], is_none: bool, firm: str | None, store: str | None
) -> None:
    """Say that ROW is SITE; all fields in which they differ are taken unless said otherwise."""
    from registry.services.decide_matches import decide_same, match_to_decide

    if is_none and fields:
        raise click.UsageError("Say either --field or --none.")
    with _deciding(store, firm) as (session, viewer, now, touched):
        found = match_to_decide(session, viewer, row)
        ids = [one.site.id for one in found.candidates if one.site.key == site]
        if not ids:
            there = ", ".join(one.site.key for one in found.candidates)
            raise click.UsageError(f"Row {row} may be {there or 'no site'}.")
        wanted: Collection[str] | None = fields or (() if is_none else None)
        count = decide_same(session, viewer, row, ids[0], wanted, now)
        touched.extend(ids if count else [])
        click.echo(f"Row {row} is site {site}; {count} fields were taken.")


@command.command(epilog="Example: riserway match new 7")
@click.argument("row", type=int)
@firm_option
@store_option
def new(row: int, firm: str | None, store: str | None) -> None:
    """Say that ROW is none of the sites that are kept; it becomes one."""
    from registry.services.decide_matches import decide_new
    from registry.store.sites import site as site_of

    with _deciding(store, firm) as (session, viewer, now, touched):
        touched.append(decide_new(session, viewer, row, now))
        click.echo(f"Row {row} is site {site_of(session, touched[0]).key}.")


@command.command(epilog="Example: riserway match sure --take none")
@click.option("--take", type=click.Choice(["all", "none"]), required=True,
              help="What of the rows is written into the sites.")  # fmt: skip
@firm_option
@store_option
def sure(take: str, firm: str | None, store: str | None) -> None:
    """Decide all rows that may be one site only, with the same parcel and the same address."""
    from registry.services.decide_matches import decide_sure

    with _deciding(store, firm) as (session, viewer, now, touched):
        count, sites = decide_sure(session, viewer, now, takes_all=take == "all")
        touched.extend(sites)
        click.echo(f"{count:,} rows were decided, {len(sites):,} sites changed.")


@contextmanager
def _deciding(
    store: str | None, firm: str | None
) -> "Iterator[tuple[Session, Viewer, datetime, list[int]]]":
    from registry.services.after_import import after_import
    from registry.wiring import assemble

    parts = assemble(store)
    now, touched = parts.now(), list[int]()
    with closing(parts.store), parts.store.session() as session:
        yield session, office(session, firm), now, touched
        for line in after_import(session, now, parts.today(), touched):
            say(line)


def _told(one: "ToMatch") -> dict[str, Any]:
    return {
        "row": one.row.id,
        "source": one.row.source,
        "key": one.row.key,
        "sites": [
            {
                "site": each.site.key,
                "same_parcel": each.offer.same_parcel,
                "same_address": each.offer.same_address,
                "apart_m": each.offer.apart_m,
                "differences": [
                    {"field": field.name, "kept": field.kept, "told": field.told}
                    for field in each.differences
                ],
            }
            for each in one.candidates
        ],
    }
