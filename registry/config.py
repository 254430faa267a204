"""Settings, read once from the environment; everything else takes them as arguments."""

import os
import sys
from dataclasses import dataclass
from pathlib import Path


@dataclass(frozen=True, slots=True)
class Settings:
    """Where the store and the built road networks are.

    ``store_url`` is an SQLAlchemy URL (``RISERWAY_STORE`` or ``--store``). ``folder`` holds what is
    built beside it: road networks, base maps, the server's secret (``RISERWAY_FOLDER``).
    """

    store_url: str
    folder: Path


def user_folder() -> Path:
    """Return this user's data folder by the platform's own custom."""
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or Path.home() / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = Path.home() / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or Path.home() / ".local" / "share")
    return base / "riserway"


def settings(store: str | None = None, folder: Path | None = None) -> Settings:
    """Return the settings: an argument wins over the environment, that over the default.

    Parameters
    ----------
    store
        SQLAlchemy URL of the store; default a SQLite file in the folder.
    folder
        Where road networks and base maps are kept; default beside a SQLite file, else the
        user's data folder.
    """
    store = store or os.environ.get("RISERWAY_STORE") or ""
    given = folder or os.environ.get("RISERWAY_FOLDER")
    if given:
        where = Path(given)
    elif store.startswith("sqlite:///") and len(store) > len("sqlite:///"):
        where = Path(store.removeprefix("sqlite:///").split("?")[0]).resolve().parent
    else:
        where = user_folder()
    return Settings(store or f"sqlite:///{where / 'riserway.sqlite'}", where)


def jobs() -> int:
    """Return how many processes heavy work may use."""
    return max(1, os.cpu_count() or 1)
