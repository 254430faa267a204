"""What all import commands share: options, a bar for slow ones, and the counts at the end."""

import sys
import time
from collections.abc import Callable
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
from click.termui import progressbar

from registry.cli.endings import REJECTED
from registry.cli.options import print_json, say

if TYPE_CHECKING:
    from collections.abc import Iterator

    from registry.services.import_outcome import ImportOutcome, ImportRequest, Progress
    from registry.store import Session
    from registry.wiring import Parts

QUIET_S = 2.0
"""A bar is shown for whatever takes longer."""
SHOWN = 20
_PATH = click.Path(path_type=Path)


def file_options[F: Callable[..., Any]](command: F) -> F:
    """Add the options that say how a file is to be read and whose it is."""
    for option in reversed(
        [
            click.option("--map", "map_path", type=_PATH, help="The column map (TOML)."),
            click.option("--encoding", default=None, help="Encoding of the text; else found out."),
            click.option("--delimiter", default=None, help="What parts CSV cells; else found out."),
            click.option("--firm", default="", help="Whose sites. [default: the only firm]"),
            click.option("--rejects", type=_PATH, default=None, help="Where rejected rows go."),
            click.option("--who", default="", help="Who imports, for the history. [default: you]"),
        ]
    ):
        command = option(command)
    return command


def user_name() -> str:
    """Return who is at the keyboard, for the history."""
    import getpass

    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "import"


@contextmanager
def parts_of(store: str | None, *, check: bool = True) -> "Iterator[Parts]":
    """Yield the parts that a command needs; the store is closed at the end."""
    from registry.wiring import assemble

    parts = assemble(store, check=check)
    try:
        yield parts
    finally:
        parts.store.close()


@contextmanager
def bar(label: str) -> "Iterator[Progress]":
    """Yield a progress function that shows a bar on stderr once the work is slow."""
    started = time.monotonic()
    shown: list[Any] = []

    def progress(done: int, of: int) -> None:
        if not shown and time.monotonic() - started > QUIET_S:
            made: Any = progressbar(length=max(of, done), label=label, file=sys.stderr)
            shown.append(made.__enter__())
        if shown:
            shown[0].length = max(of, done)
            shown[0].update(done - shown[0].pos)

    try:
        yield progress
    finally:
        if shown:
            shown[0].__exit__(None, None, None)


def run_import(
    store: str | None,
    service: "Callable[[Session, ImportRequest], ImportOutcome]",
    *,
    label: str,
    as_json: bool,
    who: str,
    is_layer: bool = False,
    locates: bool = False,
    **fields: Any,  # noqa: ANN401 - the fields of an ImportRequest
) -> int:
    """Run one import in one transaction, then what hangs on it; tell and return the exit code.

    ``is_layer`` tells a flood layer, on which every site's flood facts hang; ``locates`` one by
    which every site without a position is located.
    """
    from registry.services.after_import import after_import, locate_after_import
    from registry.services.import_outcome import ImportRequest

    with parts_of(store) as parts:
        now = parts.now()
        with bar(label) as progress, parts.store.session() as session:
            request = ImportRequest(
                who=who or user_name(), now=now, folder=Path.cwd(), progress=progress, **fields
            )
            outcome = service(session, request)
        touched = outcome.touched_site_ids
        if locates or touched:
            with parts.store.session() as session:
                placed, said = locate_after_import(
                    session, request.author, None if locates else touched
                )
            touched = tuple({*touched, *placed})
            for line in said:
                say(line)
        is_changed = outcome.counts.added + outcome.counts.changed
        with parts.store.session() as session:
            site_ids = None if is_layer and is_changed else touched
            for line in after_import(session, now, parts.today(), site_ids):
                say(line)
    return tell(outcome, as_json=as_json)


def tell(outcome: "ImportOutcome", *, as_json: bool) -> int:
    """Print what an import did and return the exit code: 0, or 1 when rows were rejected."""
    counts = outcome.counts
    for line in counts.notes:
        say(line)
    for line in counts.warnings:
        say(f"Warning: {line}")
    for complaint in outcome.complaints[:SHOWN]:
        say(str(complaint))
    more = counts.rejected - min(SHOWN, len(outcome.complaints))
    if counts.rejected and more > 0:
        say(f"… and more; all reasons stand in {counts.rejects_file}.")
    if as_json:
        print_json(
            {
                "read": counts.read,
                "added": counts.added,
                "changed": counts.changed,
                "unchanged": counts.unchanged,
                "rejected": counts.rejected,
                "rejects_file": counts.rejects_file,
                "warnings": counts.warnings,
                "notes": counts.notes,
                "complaints": [
                    {
                        "file": one.file,
                        "row": one.row,
                        "field": one.field,
                        "wrong": one.wrong,
                        "remedy": one.remedy,
                    }
                    for one in outcome.complaints
                ],
            }
        )
    else:
        click.echo(
            f"Read {counts.read:,}: {counts.added:,} added, {counts.changed:,} changed, "
            f"{counts.unchanged:,} unchanged, {counts.rejected:,} rejected."
        )
        if counts.rejects_file:
            click.echo(f"Rejected rows: {counts.rejects_file}. Mend them and import that file.")
    return REJECTED if counts.rejected else 0
