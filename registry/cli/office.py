"""Who acts where the command line acts for a firm."""

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

if TYPE_CHECKING:
    from registry.records.changes import Viewer
    from registry.store import Session


def firm_option[F: Callable[..., Any]](command: F) -> F:
    """Add ``--firm NAME``."""
    return click.option("--firm", default=None, help="Whose. [default: the only firm]")(command)


def office(session: "Session", firm: str | None) -> "Viewer":
    """Return who the command line is: an administrator of the firm named, or of the only one."""
    from registry.records.changes import Role, Viewer
    from registry.services.new_viewer import firm_named

    return Viewer(name="command line", role=Role.ADMINISTRATOR, firm_id=firm_named(session, firm))
