"""How long personal data are kept: rules by kind out of a file, what they take, and doing it."""

import tomllib
from dataclasses import dataclass
from datetime import date, datetime, time
from importlib.resources import files
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from registry.errors import ConfigError
from registry.privacy import require
from registry.records.changes import Viewer
from registry.store import Session, erasures, retention

FORMAT = "riserway-retention/1"
LEAST_YEARS, MOST_YEARS = 1, 100


@dataclass(frozen=True, slots=True, kw_only=True)
class KeepRule:
    """One kind of personal data is kept so many years; ``rows`` of it are older."""

    kind: str
    says: str
    years: int
    source: str
    rows: int = 0


def rules_in(path: Path | None) -> list[KeepRule]:
    """Return the rules of a file, or those that come with the program.

    Raises
    ------
    ConfigError
        If the file cannot be read, or a rule in it is wrong; all complaints at once.
    """
    name = path.name if path else "retention.toml"
    try:
        text = (path or files("registry.services") / "retention.toml").read_text("utf-8")
        given = tomllib.loads(text)
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as wrong:
        raise ConfigError(f"{name} cannot be read as TOML in UTF-8: {wrong}.") from wrong
    wanted = given.get("keep")
    if given.get("format") != FORMAT or not isinstance(wanted, dict):
        raise ConfigError(f'{name} must say format = "{FORMAT}" and have tables [keep.KIND].')
    complaints = [
        f"{name}, [keep.{kind}]: {wrong}."
        for kind, one in wanted.items()
        for wrong in _faults(kind, one)
    ]
    if complaints:
        raise ConfigError("\n".join(complaints))
    return [KeepRule(kind=kind, **one) for kind, one in wanted.items()]


def _faults(kind: str, one: Any) -> list[str]:  # noqa: ANN401 - any TOML value
    if kind not in retention.KINDS:
        return [f"there is no such kind; known are {', '.join(retention.KINDS)}"]
    if not isinstance(one, dict) or one.keys() != {"says", "years", "source"}:
        return ["it needs says, years and source, and nothing else"]
    found = []
    years = one["years"]
    if not isinstance(years, int) or not LEAST_YEARS <= years <= MOST_YEARS:
        found.append(f"years is a whole number from {LEAST_YEARS} to {MOST_YEARS}")
    if not all(isinstance(one[name], str) and one[name].strip() for name in ("says", "source")):
        found.append("says and source are texts; where there is no source, say so")
    return found


def keep_to(
    session: Session,
    viewer: Viewer,
    rules: list[KeepRule],
    today: date,
    now: datetime,
    *,
    do: bool,
) -> list[KeepRule]:
    """Return what grew too old by each rule; with ``do`` it goes, and that is noted.

    Raises
    ------
    AccessError
        If the viewer may not handle personal data.
    """
    require(viewer, "handle personal data")
    done = []
    for one in rules:
        before = _years_ago(today, one.years)
        work = retention.take_old if do else retention.count_old
        done.append(KeepRule(
            kind=one.kind, says=one.says, years=one.years, source=one.source,
            rows=work(session, one.kind, before),
        ))  # fmt: skip
    counts = {one.kind: one.rows for one in done if one.rows}
    if do and counts:
        erasures.add_erasure(session, viewer.name, "retention", "rules of retention", counts, now)
    return done


def _years_ago(today: date, years: int) -> datetime:
    month_day = (2, 28) if (today.month, today.day) == (2, 29) else (today.month, today.day)
    return datetime.combine(date(today.year - years, *month_day), time(), ZoneInfo("UTC"))
