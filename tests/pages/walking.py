"""A walk to every address as every visitor: the secrets that they find, and what each is told."""

import logging
import re
from collections import defaultdict
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from tests.pages.addresses import addresses
from tests.pages.private_texts import FIELDS, FIRMS, secret

if TYPE_CHECKING:
    from flask import Flask
    from werkzeug.datastructures import Headers

    from tests.pages.two_firms import Planted

HTTPS = "https://localhost"
KEYS = {secret(key, whose): (key, whose) for key in FIELDS for whose in FIRMS}
WORD = re.compile(rb"zq-[^<>\"&;|\\]{1,60}?-[ab]-zq", re.IGNORECASE)
FILES = ("/static/riserway.css", "/sw.js", "/nothing", "/library/0/nothing.js")
"""What the app's own map of addresses has no page for."""

type Found = dict[tuple[str, str], dict[str, set[str]]]
"""Secret → visitor → where."""


@dataclass(frozen=True)
class Told:
    """What a visitor's browser was told beside the body of an answer."""

    visitor: str
    endpoint: str
    path: str
    status: int
    headers: "Headers"


@dataclass(frozen=True)
class Walk:
    """The secrets found, every answer's headers, and what was logged meanwhile."""

    found: Found = field(default_factory=lambda: defaultdict(lambda: defaultdict(set)))
    told: list[Told] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)


def secrets_in(body: bytes) -> set[tuple[str, str]]:
    """Return the secrets that an answer holds."""
    unfolded = body.replace(b"\r\n ", b"")  # lines of a calendar (RFC 5545, 3.1)
    told = {one.decode().lower() for one in WORD.findall(unfolded)}
    return {KEYS[one] for one in told if one in KEYS}


def walk(app: "Flask", planted: "dict[str, Planted]", visitors: dict[str, Any]) -> Walk:
    """Ask by https for every address of both firms as each visitor; no answer may be a fault."""
    done = Walk()
    handler = logging.Handler(logging.DEBUG)
    handler.emit = lambda record: done.lines.append(logging.Formatter().format(record))  # type: ignore[method-assign]
    logging.getLogger().addHandler(handler)
    paths = {path: endpoint for one in planted.values() for endpoint, path in addresses(app, one)}
    paths |= dict.fromkeys(FILES, "")
    for name, (one, *_) in visitors.items():
        for path, endpoint in sorted(paths.items()):
            answer = one.get(path, base_url=HTTPS, buffered=True)
            assert answer.status_code < 500, f"{name} at {path}: {answer.status_code}"
            done.told.append(Told(name, endpoint, path, answer.status_code, answer.headers))
            for which in secrets_in(answer.data + str(answer.headers).encode()):
                done.found[which][name].add(path)
    logging.getLogger().removeHandler(handler)
    return done
