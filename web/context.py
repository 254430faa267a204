"""What one request needs: the parts, the date, a session, the style nonce."""

import secrets
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING, cast

from flask import current_app, g

if TYPE_CHECKING:
    from registry.store import Session
    from registry.wiring import Parts

PARTS = "riserway_parts"


def parts() -> "Parts":
    """Return the parts that the app was made with."""
    return cast("Parts", current_app.extensions[PARTS])


def today(time_zone: str = "UTC") -> date:
    """Return the date it is now in the county's zone."""
    return parts().today(time_zone)


@contextmanager
def reading() -> Iterator["Session"]:
    """Yield a session that only reads."""
    with parts().store.reading() as session:
        yield session


@contextmanager
def writing() -> Iterator["Session"]:
    """Yield a session that commits at the end."""
    with parts().store.session() as session:
        yield session


def nonce() -> str:
    """Return this request's nonce for scripts and styles."""
    if "nonce" not in g:
        g.nonce = secrets.token_urlsafe(16)
    return cast("str", g.nonce)
