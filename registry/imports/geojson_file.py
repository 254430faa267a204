"""GeoJSON files, read whole, so that a feature that cannot be used is still kept and named."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from registry.errors import FileError
from registry.imports.geojson_geometry import KINDS, build
from registry.imports.limits import Limits
from registry.imports.sheet import KEY, REASON, BrokenRow, Sheet

WGS84 = "EPSG:4326"


@dataclass(kw_only=True)
class GeoJsonSource:
    """An opened GeoJSON file."""

    name: str
    features: list[Any]
    limits: Limits
    columns: tuple[str, ...] = ()
    crs: str = WGS84
    has_geometry: bool = True
    rows: int = 0
    notes: list[str] = field(default_factory=list)
    head: dict[str, Any] = field(default_factory=dict)

    def sheets(self) -> Iterator[Sheet]:
        """Yield the features, some thousands at a time."""
        for start in range(0, max(1, len(self.features)), self.limits.sheet_rows):
            yield self._sheet(start, self.features[start : start + self.limits.sheet_rows])

    def rejects_ending(self) -> str:
        """Return ``.geojson``."""
        return ".geojson"

    def rejects(self, path: Path) -> "GeoJsonRejects":
        """Start a rejects file of features with the reason among their properties."""
        return GeoJsonRejects(path, self.head)

    def _sheet(self, start: int, features: list[Any]) -> Sheet:
        sheet = Sheet(numbers=[], columns={}, raw=[], geometries=[])
        raw: list[Any] = []
        geometries: list[Any] = []
        for number, feature in enumerate(features, start=start + 1):
            wrong = _wrong_with(feature)
            if wrong:
                remedy = "Write a feature with properties and a geometry, as RFC 7946 has it"
                sheet.broken.append(BrokenRow(number, feature, wrong, remedy))
                continue
            built = build(feature.get("geometry"))
            if built.fault:
                sheet.faults[len(raw)] = built.fault
            if built.repair:
                sheet.repairs[len(raw)] = built.repair
            sheet.numbers.append(number)
            geometries.append(built.geometry)
            raw.append(feature)
        sheet.raw, sheet.geometries = raw, geometries
        properties = [one.get("properties") or {} for one in raw]
        sheet.columns = {
            name: [_text(one.get(name)) for one in properties] for name in self.columns
        }
        if "id" in sheet.columns and not any(sheet.columns["id"]):
            sheet.columns["id"] = [_text(one.get("id")) for one in raw]
        return sheet


class GeoJsonRejects:
    """Rejected features as they came, with reason and key among their properties."""

    def __init__(self, path: Path, head: dict[str, Any]) -> None:
        self._file = path.open("w", encoding="utf-8")
        opening = json.dumps(head | {"type": "FeatureCollection"}, ensure_ascii=False)
        self._file.write(opening[:-1] + ', "features": [')
        self._before = "\n"

    def add(self, raw: Any, reason: str, key: str) -> None:  # noqa: ANN401 - any JSON value
        """Keep a feature; what is no feature is kept under ``given``."""
        if not isinstance(raw, dict):
            raw = {"type": "Feature", "geometry": None, "properties": {"given": raw}}
        elif raw.get("type") != "Feature" and raw.get("type") in {*KINDS, "GeometryCollection"}:
            raw = {"type": "Feature", "geometry": raw, "properties": {}}
        kept = raw.get("properties")
        properties = kept if isinstance(kept, dict) else {} if kept is None else {"given": kept}
        marked = {"type": "Feature", "geometry": None} | raw
        marked["properties"] = properties | {REASON: reason, KEY: key}
        self._file.write(self._before + json.dumps(marked, ensure_ascii=False))
        self._before = ",\n"

    def close(self) -> None:
        """Finish the file."""
        self._file.write("\n]}\n")
        self._file.close()


def open_geojson(path: Path, name: str, limits: Limits) -> GeoJsonSource:
    """Read a GeoJSON file.

    Raises
    ------
    FileError
        If it is too large, no JSON, or no GeoJSON.
    """
    if path.stat().st_size > limits.geojson_bytes:
        raise FileError(
            f"{name} is larger than {limits.geojson_bytes / 1e6:.0f} MB, which GeoJSON is not read "
            "at. Save it as GeoPackage."
        )
    document = _parsed(path, name)
    features, head = _features(document, name)
    source = GeoJsonSource(name=name, features=features, limits=limits, rows=len(features))
    source.notes.append(f"Read as GeoJSON: {_count(len(features))}.")
    source.columns = _columns(features)
    if "crs" in head:
        source.head = {"crs": head["crs"]}
        source.crs = _named_crs(head["crs"], name)
    return source


def _parsed(path: Path, name: str) -> Any:  # noqa: ANN401 - any JSON value
    def once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
        found = dict(pairs)
        if len(found) < len(pairs):
            names = [one for one, _ in pairs]
            twice = next(one for one in names if names.count(one) > 1)
            raise FileError(
                f"In {name} the name “{twice}” stands twice in one object, so one of its values "
                "would be lost. Leave one."
            )
        return found

    try:
        return json.loads(path.read_bytes().decode("utf-8-sig"), object_pairs_hook=once)
    except UnicodeDecodeError as wrong:
        raise FileError(
            f"{name} is not in UTF-8, as GeoJSON must be (byte {wrong.start + 1}). "
            "Save it in UTF-8."
        ) from wrong
    except json.JSONDecodeError as wrong:
        raise FileError(
            f"{name} is no JSON: {wrong.msg} in line {wrong.lineno}, sign {wrong.colno}."
        ) from wrong
    except RecursionError as wrong:
        raise FileError(f"{name} is nested too deeply to be GeoJSON.") from wrong


def _features(document: Any, name: str) -> tuple[list[Any], dict[str, Any]]:  # noqa: ANN401
    """Return the features and the collection's own members, or say why there are none."""
    if not isinstance(document, dict):
        raise FileError(f"{name} holds no GeoJSON object.")
    kind = document.get("type")
    if kind == "FeatureCollection":
        features = document.get("features")
        if not isinstance(features, list):
            raise FileError(f"{name} is a FeatureCollection without a list of features.")
        return features, document
    if kind == "Feature":
        return [document], {}
    if isinstance(kind, str) and kind in {*KINDS, "GeometryCollection"}:
        return [{"type": "Feature", "properties": {}, "geometry": document}], {}
    raise FileError(
        f"{name} says that its type is {kind!r}. GeoJSON (RFC 7946) knows FeatureCollection, "
        "Feature and the geometries, written exactly so."
    )


def _columns(features: list[Any]) -> tuple[str, ...]:
    names: dict[str, None] = {}
    has_id = False
    for one in features:
        if isinstance(one, dict):
            has_id = has_id or isinstance(one.get("id"), str | int)
            if isinstance(one.get("properties"), dict):
                names.update(dict.fromkeys(one["properties"]))
    if has_id:
        names.setdefault("id")
    return tuple(names)


def _wrong_with(feature: Any) -> str:  # noqa: ANN401 - any JSON value
    if not isinstance(feature, dict):
        return "this is not an object"
    if feature.get("type") != "Feature":
        return f"its type is {feature.get('type')!r}, not Feature"
    if feature.get("properties") is not None and not isinstance(feature["properties"], dict):
        return "its properties are not an object"
    if "id" in feature and not isinstance(feature["id"], str | int | float):
        return "its id is neither text nor a number"
    return ""


def _named_crs(given: Any, name: str) -> str:  # noqa: ANN401 - any JSON value
    """Return the system that the ``crs`` member of older GeoJSON names."""
    try:
        named = str(given["properties"]["name"])
    except (TypeError, KeyError) as wrong:
        raise FileError(
            f"{name} has a coordinate system that it does not name. Leave out “crs” if the "
            "positions are longitude and latitude on WGS 84, else say --crs."
        ) from wrong
    return WGS84 if named.upper().endswith(("CRS84", ":4326")) else named


def _text(value: Any) -> str:  # noqa: ANN401 - any JSON value
    """Return a JSON value as a cell's text."""
    match value:
        case None:
            return ""
        case str():
            return value
        case bool():
            return "yes" if value else "no"
        case float() if value.is_integer() and abs(value) < 1e15:
            return str(int(value))
        case int() | float():
            return str(value)
        case _:
            return json.dumps(value, ensure_ascii=False)


def _count(features: int) -> str:
    return "1 feature" if features == 1 else f"{features:,} features"
