"""Our styles and scripts under an address that changes with them, so that they may be kept."""

import hashlib
from functools import cache
from pathlib import Path

from flask import Flask, Response, request, send_from_directory

FOLDER = Path(__file__).parent / "static"
A_YEAR_S = 365 * 24 * 3600


@cache
def edition() -> str:
    """Return what the files are told by: a part of the digest of all of them."""
    digest = hashlib.sha256()
    for name in file_names():
        digest.update(name.encode() + b"\0" + (FOLDER / name).read_bytes() + b"\0")
    return digest.hexdigest()[:12]


@cache
def file_names() -> tuple[str, ...]:
    """Return the names of all files."""
    return tuple(sorted(one.name for one in FOLDER.iterdir() if one.is_file()))


def address_of_edition() -> str:
    """Return where the files of this edition are; scripts find each other beside themselves."""
    return f"/static/{edition()}"


def install(app: Flask) -> None:
    """Serve the files also without an edition, and let browsers keep those that have one."""
    app.add_url_rule("/static/<path:filename>", "any_edition", _any_edition)
    app.after_request(_kept_for_good)


def _any_edition(filename: str) -> Response:
    return send_from_directory(FOLDER, filename)


def _kept_for_good(answer: Response) -> Response:
    if request.endpoint == "static":
        if answer.status_code in {200, 304}:
            answer.headers["Cache-Control"] = f"public, max-age={A_YEAR_S}, immutable"
    else:
        answer.headers["Riserway-Edition"] = edition()  # a carried page keeps to its own files
    return answer
