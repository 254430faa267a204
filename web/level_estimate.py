"""The estimate of a flood level on the file of a site in a zone without one; never kept."""

from collections.abc import Mapping
from dataclasses import dataclass

from registry.errors import RangeError
from registry.flood.estimates import CAUTION
from registry.flood.zones import ZoneClass, zone_class
from registry.records.flood import FloodFact
from registry.services.estimate_level import Asked, estimate_level
from web import present

METHOD = {ZoneClass.APPROXIMATE: "contours", ZoneClass.DEPTH: "depth"}
FIELDS = {
    "contours": (
        ("edge", "Ground at the zone’s edge, ft"),
        ("other", "Ground at the other edge, ft"),
        ("interval", "Contour interval of the map, ft"),
    ),
    "depth": (
        ("ground", "Highest ground beside it, ft"),
        ("depth", "Depth on the map, ft (2 if none)"),
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class LevelForm:
    """The form: its fields with name, label and text, the datum, and what came of it in words.

    ``said`` is the estimate, ``wrong`` why there is none; both empty before anything was asked.
    """

    fields: tuple[tuple[str, str, str], ...]
    datum: str
    said: str = ""
    source: str = ""
    wrong: str = ""
    caution: str = CAUTION


def level_form(fact: FloodFact | None, args: Mapping[str, str]) -> LevelForm | None:
    """Return the form with its answer, None where a level is known or none applies."""
    method = METHOD.get(zone_class(fact.zone)) if fact and fact.bfe is None else None
    if fact is None or method is None or not fact.in_hazard_area:
        return None
    given = {name: args.get(name, "").strip()[:20] for name, _ in FIELDS[method]}
    datum = args.get("datum", "NAVD88")[:20]
    form = LevelForm(
        fields=tuple((name, label, given[name]) for name, label in FIELDS[method]), datum=datum
    )
    if not any(given.values()):
        return form
    try:
        found = estimate_level(_asked(method, given, datum))
    except RangeError as wrong:
        return LevelForm(fields=form.fields, datum=datum, wrong=str(wrong))
    said = f"{present.elevation(found.level)}, {found.how}"
    return LevelForm(fields=form.fields, datum=datum, said=said, source=found.source)


def _asked(method: str, given: Mapping[str, str], datum: str) -> Asked:
    numbers = {name: _number(text) for name, text in given.items() if text}
    edges = [numbers[name] for name in ("edge", "other") if name in numbers]
    return Asked(
        method=method,
        datum=datum,
        edges_ft=edges,
        interval_ft=numbers.get("interval"),
        grade_ft=numbers.get("ground"),
        depth_ft=numbers.get("depth"),
    )


def _number(text: str) -> float:
    try:
        found = float(text)
    except ValueError:
        found = float("nan")
    if not abs(found) < 30_000:
        raise RangeError(f"“{text}” is no number of feet.")
    return found
