"""What the Day page sends when a day is changed by hand, read strictly."""

from dataclasses import dataclass
from typing import Any

from registry.errors import RangeError
from registry.plan.moves import At

LONGEST = 2000
"""Stops on all routes of a day at most, and letters of a name."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """Routes as the page has them, and what is asked about one stop.

    ``opened`` is the mark of the opened day, ``frame`` that of the axes that the page shows. ``to``
    None with ``puts`` takes the stop off.
    """

    opened: str
    routes: tuple[tuple[str, ...], ...]
    frame: str = ""
    stop: str = ""
    at: At | None = None
    to: At | None = None
    version: int = 0
    lifted: tuple[str, ...] = ()
    although: bool = False


def asked_in(sent: object) -> Asked:
    """Return what a page asks.

    Raises
    ------
    RangeError
        If it is not complete; our own page never sends that.
    """
    if not isinstance(sent, dict):
        raise _incomplete()
    return Asked(
        opened=_text(sent.get("opened", "")),
        routes=_routes(sent.get("routes")),
        frame=_text(sent.get("frame", "")),
        stop=_text(sent.get("stop", "")),
        at=_place(sent.get("at")),
        to=_place(sent.get("to")),
        version=_number(sent.get("version", 0)),
        lifted=tuple(_text(one) for one in _list(sent.get("lifted", []))),
        although=sent.get("although") is True,
    )


def _incomplete() -> RangeError:
    return RangeError("That request is not complete. Load the page again.")


def _list(sent: object) -> list[Any]:
    if not isinstance(sent, list) or len(sent) > LONGEST:
        raise _incomplete()
    return sent


def _text(sent: object) -> str:
    if not isinstance(sent, str) or len(sent) > LONGEST:
        raise _incomplete()
    return sent


def _number(sent: object) -> int:
    if not isinstance(sent, int) or isinstance(sent, bool):
        raise _incomplete()
    return sent


def _routes(sent: object) -> tuple[tuple[str, ...], ...]:
    routes = tuple(tuple(_text(name) for name in _list(route)) for route in _list(sent))
    if sum(map(len, routes)) > LONGEST:
        raise _incomplete()
    return routes


def _place(sent: object) -> At | None:
    if sent is None:
        return None
    pair = _list(sent)
    if len(pair) != 2:
        raise _incomplete()
    return _number(pair[0]), _number(pair[1])
