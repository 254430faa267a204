"""Options that many commands share, and the one way to print JSON."""

import json
from collections.abc import Callable
from typing import Any

import click


def store_option[F: Callable[..., Any]](command: F) -> F:
    """Add ``--store URL``."""
    return click.option(
        "--store",
        metavar="URL",
        default=None,
        help="The store as an SQLAlchemy URL. [default: RISERWAY_STORE, else a file of yours]",
    )(command)


def json_option[F: Callable[..., Any]](command: F) -> F:
    """Add ``--json``: one JSON document on stdout and nothing else there."""
    return click.option("--json", "as_json", is_flag=True, help="Print one JSON document.")(command)


def print_json(document: Any) -> None:  # noqa: ANN401 - any JSON value
    """Print one JSON document on stdout; dates and moments as ISO 8601."""
    click.echo(json.dumps(document, ensure_ascii=False, indent=1, default=str))


def say(text: str) -> None:
    """Print a message for people on stderr."""
    click.echo(text, err=True)


class ClockTime(click.ParamType):  # type: ignore[type-arg]  # not generic in older click
    """A time of day such as 09:30, as minutes after midnight; 24:00 is the day's end."""

    name = "HH:MM"

    def convert(
        self, value: str | int, param: click.Parameter | None, ctx: click.Context | None
    ) -> int:
        """Return the minutes, or end with a sentence about what is wrong."""
        from registry.imports.cells import Fault
        from registry.imports.words import minutes

        if isinstance(value, int):
            return value
        found = minutes(value)
        if not isinstance(found, int):
            remedy = found.remedy if isinstance(found, Fault) else "Write it as 08:00 or 17:30"
            self.fail(f"“{value}” is no time of day. {remedy}.", param, ctx)
        return found
