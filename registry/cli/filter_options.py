"""The filters of the overdue map as options of commands."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from registry.records.filter_text import AGREEMENTS, BELOW, NOT_ON_FILE

if TYPE_CHECKING:
    from registry.records.due_rows import DueFilter
    from registry.store import Session

OPTIONS = (
    click.option("--late", default="0", metavar="DAYS", help="Overdue by more days than this."),
    click.option("--task", default="", metavar="CODE", help="By this task, whatever is due first."),
    click.option("--kind", default="", metavar="TYPE", help="System type, such as mound."),
    click.option("--zone", default="", metavar="ZONE", help="in, out or a flood zone such as AE."),
    click.option("--below-bfe", "below", type=click.Choice([*BELOW]), default=None,
                 help="Equipment below the base flood elevation."),
    click.option("--jurisdiction", default="", metavar="NAME", help="Only in this jurisdiction."),
    click.option("--town", default="", metavar="NAME", help="Only in this town."),
    click.option("--permit", default="", metavar="STATUS",
                 help=f"Permit status as on file, or “{NOT_ON_FILE}”."),
    click.option("--agreement", type=click.Choice([*AGREEMENTS]), default=None,
                 help="How the service agreement stands."),
    click.option("--serious", is_flag=True, help="With a serious finding that is not mended."),
)  # fmt: skip


def filter_options[F: Callable[..., Any]](command: F) -> F:
    """Add every filter; the command takes them as keywords and hands them to ``filter_asked``."""
    for one in reversed(OPTIONS):
        command = one(command)
    return command


def filter_asked(session: "Session", asked: dict[str, Any]) -> "DueFilter":
    """Return the filter of the options; a wrong one ends the command with a sentence.

    Raises
    ------
    RangeError
        If an option is not one that its filter takes.
    NotFoundError
        If there is no such jurisdiction.
    """
    from registry.records.filter_text import filter_of
    from registry.services.due_list import scope_named

    named = scope_named(session, jurisdiction=asked["jurisdiction"]).jurisdiction_ids
    texts = {name: str(value) for name, value in asked.items() if value not in {None, False}}
    texts["place"] = str(named[0]) if named else ""
    texts["serious"] = "open" if asked["serious"] else ""
    return filter_of(texts)
