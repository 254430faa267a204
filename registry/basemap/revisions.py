"""Where built road networks and base maps lie: a folder for each revision, and which is current.

``<roads folder>/current`` holds the name of the revision in use; it is replaced in one step, so
that a reader sees the old network or the new one, never half of either.
"""

import json
import os
import re
from contextlib import suppress
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from typing import Any

from registry.errors import RoadError
from registry.records.places import Box
from registry.records.roads import NetworkInfo

POINTER = "current"
ABOUT = "network.json"
NAME = re.compile(r"[0-9a-f]{8,64}")
"""A revision's name: hexadecimal, so that a damaged pointer never leads out of the folder."""


def current_folder(folder: Path) -> Path | None:
    """Return the folder of the revision in use, None where no network was imported.

    Parameters
    ----------
    folder
        The folder of all road networks.
    """
    try:
        name = (folder / POINTER).read_text(encoding="ascii").strip()
    except (FileNotFoundError, NotADirectoryError):
        return None
    except (OSError, UnicodeDecodeError) as wrong:
        raise _damaged(folder) from wrong
    if not NAME.fullmatch(name) or not (folder / name / ABOUT).is_file():
        raise _damaged(folder)
    return folder / name


def current_network(folder: Path) -> NetworkInfo | None:
    """Return what is known about the network in use, None where none was imported.

    Raises
    ------
    RoadError
        If the folder is damaged.
    """
    here = current_folder(folder)
    return None if here is None else read_about(here)


def make_current(folder: Path, revision: str) -> None:
    """Make a revision the one in use, in one step."""
    replace_text(folder / POINTER, revision)


def read_about(revision_folder: Path) -> NetworkInfo:
    """Return what a revision's folder says about itself.

    Raises
    ------
    RoadError
        If its ``network.json`` is missing or damaged.
    """
    try:
        kept: dict[str, Any] = json.loads((revision_folder / ABOUT).read_text(encoding="utf-8"))
        kept["built_at"] = datetime.fromisoformat(kept["built_at"])
        kept["box"] = Box(**kept["box"])
        kept["themes"] = tuple(kept["themes"])
        kept["warnings"] = tuple(kept["warnings"])
        return NetworkInfo(**kept)
    except (OSError, ValueError, TypeError, KeyError) as wrong:
        raise _damaged(revision_folder.parent) from wrong


def write_about(revision_folder: Path, info: NetworkInfo) -> None:
    """Write what is known about a network into its folder, in one step."""
    kept = asdict(info) | {"built_at": info.built_at.isoformat()}
    replace_text(revision_folder / ABOUT, json.dumps(kept, ensure_ascii=False, indent=1))


def replace_text(path: Path, text: str) -> None:
    """Write a small file so that a reader sees the old text or the new, never a part."""
    fresh = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        fresh.write_text(text, encoding="utf-8")
        fresh.replace(path)
    finally:
        with suppress(FileNotFoundError):
            fresh.unlink()


def _damaged(folder: Path) -> RoadError:
    return RoadError(f"The road network in {folder} is damaged. Import the roads again.")
