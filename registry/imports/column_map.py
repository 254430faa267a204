"""The column map: which column holds what, in which words, units and coordinates."""

import difflib
import tomllib
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from registry.errors import ConfigError
from registry.imports.fields import Field

TABLES = ("fields", "values", "crs", "units", "dates", "numbers")


@dataclass(frozen=True, slots=True, kw_only=True)
class ColumnMap:
    """Which column holds what.

    ``columns`` maps a field of ours to a column, ``constants`` a field to a text that every row
    has; ``words`` a field to foreign word → our word; ``units`` and ``dates`` a field to the unit
    or order that the file uses.
    """

    key: tuple[str, ...] = ()
    columns: Mapping[str, str] = field(default_factory=dict)
    constants: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, Mapping[str, str]] = field(default_factory=dict)
    crs: str = ""
    units: Mapping[str, str] = field(default_factory=dict)
    dates: Mapping[str, str] = field(default_factory=dict)
    decimal: str = "."


def read_map(path: Path, known: Sequence[Field]) -> ColumnMap:
    """Read a column map from a TOML file.

    Raises
    ------
    ConfigError
        If it cannot be read, or names something that there is not; all that is wrong is told.
    """
    try:
        given = tomllib.loads(path.read_text(encoding="utf-8"))
    except OSError as wrong:
        raise ConfigError(f"The column map {path} cannot be opened: {wrong.strerror}.") from wrong
    except UnicodeDecodeError as wrong:
        raise ConfigError(f"The column map {path.name} is not in UTF-8. Save it so.") from wrong
    except tomllib.TOMLDecodeError as wrong:
        raise ConfigError(f"The column map {path.name} is no TOML: {wrong}.") from wrong
    complaints = _complaints(given, known)
    if complaints:
        raise ConfigError(f"The column map {path.name} cannot be used: " + " ".join(complaints))
    fields = given.get("fields", {})
    key = given.get("key", fields.get("key", ()))
    return ColumnMap(
        key=(key,) if isinstance(key, str) else tuple(key),
        columns={
            name: one for name, one in fields.items() if isinstance(one, str) and name != "key"
        },
        constants={
            name: _as_text(one["value"]) for name, one in fields.items() if isinstance(one, dict)
        },
        words=given.get("values", {}),
        crs=str(given.get("crs", {}).get("code", "")),
        units=given.get("units", {}),
        dates=given.get("dates", {}),
        decimal=given.get("numbers", {}).get("decimal", "."),
    )


def require_columns(mapped: ColumnMap, there: Iterable[str], file_name: str) -> None:
    """Raise ConfigError if the map names columns that the file has not."""
    columns = set(there)
    missing = [one for one in (*mapped.key, *mapped.columns.values()) if one not in columns]
    if missing:
        raise ConfigError(
            f"The column map names {', '.join(f'“{one}”' for one in dict.fromkeys(missing))}, "
            f"which {file_name} has not. Its columns: {', '.join(there)}."
        )


def written(mapped: ColumnMap, notes: Iterable[str] = ()) -> str:
    """Return a column map as TOML, with notes in front as comments."""
    lines = [f"# {' '.join(one.split())}" for one in notes]
    key = [_quoted(one) for one in mapped.key]
    if key:
        lines.append(f"key = {key[0] if len(key) == 1 else '[' + ', '.join(key) + ']'}")
    lines += ["", "[fields]"]
    lines += [f"{name} = {_quoted(one)}" for name, one in mapped.columns.items()]
    lines += [f"{name} = {{ value = {_quoted(one)} }}" for name, one in mapped.constants.items()]
    for name, words in mapped.words.items():
        lines += ["", f"[values.{name}]"]
        lines += [f"{_quoted(theirs)} = {_quoted(ours)}" for theirs, ours in words.items()]
    if mapped.crs:
        lines += ["", "[crs]", f"code = {_quoted(mapped.crs)}"]
    for title, table in (("units", mapped.units), ("dates", mapped.dates)):
        if table:
            lines += ["", f"[{title}]"]
            lines += [f"{name} = {_quoted(one)}" for name, one in table.items()]
    if mapped.decimal != ".":
        lines += ["", "[numbers]", f"decimal = {_quoted(mapped.decimal)}"]
    return "\n".join(lines).lstrip("\n") + "\n"


def _complaints(given: dict[str, Any], known: Sequence[Field]) -> list[str]:
    """Return everything that is wrong with a map, in sentences."""
    names = {one.name for one in known}
    found = [
        f"“{title}” is no part of a map; its parts are key, {', '.join(TABLES)}."
        for title, table in given.items()
        if title != "key" and (title not in TABLES or not isinstance(table, dict))
    ]
    key = given.get("key", "")
    if not isinstance(key, str) and not (isinstance(key, list) and _all_text(key)):
        found.append("key names one column or a list of columns.")
    for title in ("fields", "values", "units", "dates"):
        found += [
            _no_field(title, one, names)
            for one in _table(given, title)
            if one not in names | {"key"}
        ]
    return found + _wrong_entries(given)


def _wrong_entries(given: dict[str, Any]) -> list[str]:
    """Return what is wrong with the entries of each table."""
    found = [
        f'[fields] {name} takes a column or {{ value = "…" }}.'
        for name, one in _table(given, "fields").items()
        if name != "key"
        and not isinstance(one, str)
        and not (isinstance(one, dict) and set(one) == {"value"})
    ]
    found += [
        f"[{title}] takes texts."
        for title in ("units", "dates")
        if not _all_text(_table(given, title).values())
    ]
    found += [
        f"[values.{name}] maps words to words."
        for name, words in _table(given, "values").items()
        if not isinstance(words, dict) or not _all_text(words.values())
    ]
    if _table(given, "numbers").get("decimal", ".") not in (".", ","):
        found.append('[numbers] decimal is "." or ",".')
    return found


def _no_field(title: str, name: str, names: set[str]) -> str:
    near = difflib.get_close_matches(name, names, n=1)
    hint = f" Did you mean {near[0]}?" if near else f" Known: {', '.join(sorted(names))}."
    return f"[{title}] {name} is no field here.{hint}"


def _table(given: dict[str, Any], title: str) -> dict[str, Any]:
    table = given.get(title, {})
    return table if isinstance(table, dict) else {}


def _all_text(values: Iterable[object]) -> bool:
    return all(isinstance(one, str) for one in values)


def _as_text(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(one if one >= " " else f"\\u{ord(one):04x}" for one in escaped) + '"'
