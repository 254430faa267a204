"""Settings, read once from the environment; everything else takes them as arguments."""

import os
import sys
from dataclasses import dataclass, field
from importlib.util import find_spec
from pathlib import Path
from urllib.parse import urlsplit

from registry.errors import ConfigError


@dataclass(frozen=True, slots=True)
class Settings:
    """Where the store and the built road networks are.

    ``store_url`` is an SQLAlchemy URL (``RISERWAY_STORE`` or ``--store``). ``folder`` holds what is
    built beside it: road networks, base maps, the server's secret (``RISERWAY_FOLDER``).
    """

    store_url: str
    folder: Path


@dataclass(frozen=True, slots=True)
class CountySignIn:
    """A county's own sign-in (OpenID Connect): where it is, what it knows this server by.

    It opens sign-ins of county staff alone, whose jurisdictions are all among ``jurisdictions``.
    """

    issuer: str
    client_id: str
    secret: str = field(repr=False)
    jurisdictions: tuple[str, ...]

    @property
    def host(self) -> str:
        """The only host, with its port, that is ever called."""
        return urlsplit(self.issuer).netloc


COUNTY = (
    "RISERWAY_COUNTY_ISSUER",
    "RISERWAY_COUNTY_CLIENT",
    "RISERWAY_COUNTY_SECRET",
    "RISERWAY_COUNTY_JURISDICTIONS",
)


def county_sign_in() -> CountySignIn | None:
    """Return the county's own sign-in, None unless its issuer is set.

    Raises
    ------
    ConfigError
        If a part is missing, or the issuer is no plain https address.
    """
    issuer, client_id, secret, places = said = [os.environ.get(one, "").strip() for one in COUNTY]
    if not issuer:
        return None
    missing = [name for name, value in zip(COUNTY, said, strict=True) if not value]
    if missing:
        raise ConfigError(f"The county's own sign-in needs {', '.join(missing)} too.")
    issuer = issuer.rstrip("/")
    parts = urlsplit(issuer)
    if parts.scheme != "https" or not parts.hostname or parts.query or "@" in parts.netloc:
        raise ConfigError(
            f"{COUNTY[0]} must be an https address without a query, such as "
            "https://login.county.example."
        )
    if find_spec("joserfc") is None:
        raise ConfigError("The county's own sign-in needs pip install 'riserway[county]'.")
    jurisdictions = tuple(one.strip() for one in places.split(";") if one.strip())
    return CountySignIn(issuer, client_id, secret, jurisdictions)


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
