"""``riserway site``: a site's file on the command line, with its history; merging two records."""

from contextlib import closing
from typing import TYPE_CHECKING

import click

from registry.cli.office import firm_option, office
from registry.cli.options import json_option, print_json, say, store_option

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.store import Session

part_option = click.option(
    "--part", default="", help="Which part of the file, such as component:7. [default: the site]"
)


@click.group("site", epilog="Example: riserway site show 1042")
def command() -> None:
    """Show and change a site's file, take changes back, and merge two records of one site."""


@command.command(epilog="Example: riserway site show 1042 --part system:3")
@click.argument("key")
@part_option
@firm_option
@json_option
@store_option
def show(key: str, part: str, firm: str | None, as_json: bool, store: str | None) -> None:
    """Show the fields of site KEY, or of a part of its file, and which parts there are."""
    from registry.services.edit_site import row_to_edit
    from registry.services.site_parts import parts_of
    from registry.wiring import assemble

    opened = assemble(store)
    with closing(opened.store), opened.store.reading() as session:
        viewer = office(session, firm)
        site_id = _site(session, viewer, key)
        row = row_to_edit(session, viewer, site_id, *_part(part, site_id))
        there = parts_of(session, viewer, site_id)
    if as_json:
        fields = {one.field.name: one.text for one in row.fields}
        print_json({"site": key, "part": part or f"site:{site_id}", "fields": fields,
                    "parts": there})  # fmt: skip
        return
    for one in row.fields:
        click.echo(f"{one.field.name:<22} {one.text}")
    for name, title in there.items():
        click.echo(f"part {name:<17} {title}")


@command.command("set", epilog="Example: riserway site set 1042 gate_code=4711 --was gate_code=17")
@click.argument("key")
@click.argument("fields", nargs=-1, required=True, metavar="FIELD=VALUE...")
@click.option(
    "--was", multiple=True, metavar="FIELD=VALUE", help="What stood there when you looked."
)
@part_option
@firm_option
@json_option
@store_option
def set_(
    key: str,
    fields: tuple[str, ...],
    was: tuple[str, ...],
    part: str,
    firm: str | None,
    as_json: bool,
    store: str | None,
) -> None:
    """Change fields of site KEY, or of a part of its file; what stood there stays in the history.

    Where a field is not any more what --was says, both values are kept and the office settles.
    """
    from registry.services.edit_site import edit_row
    from registry.wiring import assemble

    opened = assemble(store)
    with closing(opened.store), opened.store.session() as session:
        viewer = office(session, firm)
        site_id = _site(session, viewer, key)
        row = (site_id, *_part(part, site_id))
        done = edit_row(
            session, viewer, row, _pairs(fields), _pairs(was), opened.now(), opened.today,
            source="command line",
        )  # fmt: skip
    if as_json:
        print_json({"changed": done.changed, "kept_beside": done.kept_beside})
        return
    click.echo(f"Changed: {', '.join(done.changed) or 'nothing'}.")
    if done.kept_beside:
        click.echo(f"Kept beside what somebody wrote meanwhile: {', '.join(done.kept_beside)}.")


@command.command(epilog="Example: riserway site history 1042")
@click.argument("key")
@click.option("--limit", default=50, show_default=True, help="The newest lines.")
@firm_option
@json_option
@store_option
def history(key: str, limit: int, firm: str | None, as_json: bool, store: str | None) -> None:
    """List what was changed at site KEY, newest first; the number is that of riserway site undo."""
    from dataclasses import asdict

    from registry.services.site_parts import history_here
    from registry.wiring import assemble

    opened = assemble(store)
    with closing(opened.store), opened.store.reading() as session:
        viewer = office(session, firm)
        found = history_here(session, viewer, _site(session, viewer, key), limit)
    if as_json:
        print_json({"changes": [asdict(one) for one in found]})
        return
    for one in found:
        said = [f"“{each}”" if each else "nothing" for each in (one.before, one.after)]
        field = "" if one.field == one.kind else f", {one.field.replace('_', ' ')}"
        click.echo(
            f"{one.id:>7}  {one.at:%Y-%m-%d %H:%M}  {one.who}: "
            f"{one.kind.replace('_', ' ')} {one.row_id}{field}: {said[0]} → {said[1]}"
        )


@command.command(epilog="Example: riserway site undo 1207")
@click.argument("number", type=int)
@click.option("--although", is_flag=True, help="Set it back although it was changed again since.")
@firm_option
@store_option
def undo(number: int, although: bool, firm: str | None, store: str | None) -> None:
    """Take change NUMBER of riserway site history back."""
    from registry.services.undo_change import undo_change
    from registry.wiring import assemble

    opened = assemble(store)
    with closing(opened.store), opened.store.session() as session:
        line = undo_change(
            session, office(session, firm), number, opened.now(), opened.today, although=although
        )
    click.echo(f"{line.field} is set back to “{line.before}”; the history keeps both changes.")


@command.command(epilog="Example: riserway site pairs")
@firm_option
@json_option
@store_option
def pairs(firm: str | None, as_json: bool, store: str | None) -> None:
    """List records that may be one site twice; none is merged by itself."""
    from registry.services.likely_pairs import likely_pairs
    from registry.wiring import assemble

    opened = assemble(store)
    with closing(opened.store), opened.store.reading() as session:
        found = likely_pairs(session, office(session, firm))
    if as_json:
        print_json(
            {
                "pairs": [
                    {
                        "first": one.first.key,
                        "then": one.then.key,
                        "same_parcel": one.why.same_parcel,
                        "same_address": one.why.same_address,
                        "apart_m": one.why.apart_m,
                    }
                    for one in found
                ]
            }
        )
        return
    if not found:
        say("No two records look like one site.")
    for one in found:
        why = [word for word, holds in (("parcel", one.why.same_parcel),
                                        ("address", one.why.same_address)) if holds]  # fmt: skip
        far = "" if one.why.apart_m is None else f", {one.why.apart_m:g} m apart"
        click.echo(f"{one.first.key}  {one.then.key}  same {' and '.join(why) or 'place'}{far}")


@command.command(epilog="Example: riserway site merge 1042 2042 --take address=other --dry-run")
@click.argument("kept")
@click.argument("other")
@click.option(
    "--take",
    multiple=True,
    metavar="FIELD=WORD",
    help="What holds: kept, other or both. [default: what stands in KEPT, else OTHER; both notes]",
)
@click.option("--dry-run", is_flag=True, help="Say what would hold and do nothing.")
@click.option("--undo", "back", is_flag=True, help="Take the merge of OTHER into KEPT back.")
@firm_option
@store_option
def merge(
    kept: str,
    other: str,
    take: tuple[str, ...],
    dry_run: bool,
    back: bool,
    firm: str | None,
    store: str | None,
) -> None:
    """Merge record OTHER into KEPT: it stays on file and points on; nothing is gone."""
    from registry.services.merge_sites import merge_sites, undo_merge, which_merge
    from registry.services.see_merge import see_merge
    from registry.wiring import assemble

    opened = assemble(store)
    with closing(opened.store), opened.store.session() as session:
        viewer = office(session, firm)
        ids = (_site(session, viewer, kept), _site(session, viewer, other))
        if back:
            which = which_merge(session, viewer, *ids)
            done = undo_merge(session, viewer, which, opened.now(), opened.today)
            click.echo(f"{kept} and {other} are two records again.")
            for name in done.stayed:
                click.echo(f"Changed since, so it stays: {name}.")
            return
        view = see_merge(session, viewer, *ids)
        chosen = {name if ":" in name else f"site:{name}": word for name, word in
                  _pairs(take).items()}  # fmt: skip
        number = 0
        if not dry_run:
            number = merge_sites(session, viewer, ids, chosen, None, opened.now(), opened.today)
    for one in view.choices:
        word = chosen.get(one.key, one.chosen)
        click.echo(f"{one.key}: {word} (“{one.kept}”, “{one.other}”)")
    if dry_run:
        say("Nothing is changed yet: leave --dry-run out to merge.")
    else:
        say(f"Merge {number}: {other} points on to {kept}. Take it back with --undo.")


def _site(session: "Session", viewer: "Viewer", key: str) -> int:
    from registry.services.site_numbers import site_ids_named

    return site_ids_named(session, [key], viewer.firm_id)[0]


def _part(said: str, site_id: int) -> tuple[str, int]:
    kind, _, number = said.partition(":")
    if not said:
        return "site", site_id
    if not number.isdigit():
        raise click.BadParameter("Write it as riserway site show names it, such as component:7.")
    return kind, int(number)


def _pairs(given: tuple[str, ...]) -> dict[str, str]:
    wrong = [one for one in given if "=" not in one]
    if wrong:
        raise click.BadParameter(f"“{wrong[0]}” is not FIELD=VALUE.")
    parted = (one.partition("=") for one in given)
    return {name: value for name, _, value in parted}
