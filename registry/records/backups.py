"""Backups by date: how they are named, and which old ones are thinned out."""

import re
from collections.abc import Iterable
from datetime import UTC, datetime

_NAME = re.compile(r"riserway-(\d{8}T\d{6})Z\.(?:sqlite|zip)", re.ASCII)


def backup_name(made_at: datetime, ending: str) -> str:
    """Return the name of a backup made at a moment, in UTC; ``ending`` is sqlite or zip."""
    return f"riserway-{made_at.astimezone(UTC):%Y%m%dT%H%M%S}Z.{ending}"


def made_at(name: str) -> datetime | None:
    """Return when a backup was made by its name; None where it is no name of a backup."""
    found = _NAME.fullmatch(name)
    try:
        return datetime.strptime(found[1], "%Y%m%dT%H%M%S").replace(tzinfo=UTC) if found else None
    except ValueError:
        return None


def to_thin_out(names: Iterable[str], keep_daily: int, keep_monthly: int) -> list[str]:
    """Return the names of backups to remove, the oldest first.

    Kept are the newest of all, the newest of each of the last ``keep_daily`` days that have one,
    and the newest of each of the last ``keep_monthly`` months that have one, by the dates of UTC.
    Names that are none of a backup are never returned.
    """
    dated = sorted(((at, one) for one in names if (at := made_at(one))), reverse=True)
    kept = {name for _, name in dated[:1]}
    for pattern, count in (("%Y%m%d", keep_daily), ("%Y%m", keep_monthly)):
        newest: dict[str, str] = {}
        for at, name in dated:
            newest.setdefault(at.strftime(pattern), name)
        kept.update(list(newest.values())[:count])
    return [name for _, name in reversed(dated) if name not in kept]
