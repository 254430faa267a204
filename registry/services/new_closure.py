"""From what people say or draw to closures: a road by name, points on a map, a file."""

from dataclasses import dataclass
from datetime import date
from pathlib import Path

import shapely

from registry.errors import RangeError
from registry.imports.closure_file import ClosureDays, closures_in
from registry.plan.ports import RoadNames
from registry.records.closures import Closure, hours_in
from registry.records.roads import NamedStretch

FEWEST_LINE, FEWEST_AREA = 2, 3
LONGEST = 200
"""Signs in a name or a reason."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosureWords:
    """When a road is closed and why, as typed; empty ``last_on`` and ``hours`` = not said."""

    name: str = ""
    first_on: date
    last_on: date | None = None
    hours: str = ""
    why: str = ""

    def days(self) -> ClosureDays:
        """Return the days and hours; hours without a last day hold on the first day only.

        Raises
        ------
        RangeError
            If the hours are not understood.
        """
        hours = hours_in(self.hours) if self.hours.strip() else None
        last_on = self.first_on if hours and self.last_on is None else self.last_on
        return ClosureDays(
            first_on=self.first_on, last_on=last_on, hours=hours, why=self.why.strip()[:LONGEST]
        )


def closure_by_name(roads: RoadNames, stretch: NamedStretch, words: ClosureWords) -> Closure:
    """Return the closure of a road by name, or of the piece between two places on it.

    Raises
    ------
    NotFoundError
        If there is no such road or piece.
    RoadError
        If no network was imported, or it cannot be used.
    RangeError
        If the hours are not understood.
    """
    if not stretch.road.strip():
        raise RangeError("Say which road is closed.")
    days = words.days()
    called = stretch.road.strip()
    if stretch.begins:
        called += f" from {stretch.begins.strip()} to {stretch.ends.strip()}"
    return _closure(words.name or called, roads.find(stretch), days, road=stretch.road.strip())


def closure_drawn(points: str, *, area: bool, words: ClosureWords) -> Closure:
    """Return the closure of a line or an area, from one ``longitude, latitude`` in each line.

    Raises
    ------
    RangeError
        If a point or the hours are not understood, there are too few points, or it has no name.
    """
    days = words.days()
    if not words.name.strip():
        raise RangeError("Give the closure a name, as people call the place.")
    places = [_point(line, number) for number, line in _lines(points)]
    fewest = FEWEST_AREA if area else FEWEST_LINE
    if len(set(places)) < fewest:
        what = "An area" if area else "A line"
        raise RangeError(f"{what} has at least {fewest} different points, each in a line.")
    if not area:
        return _closure(words.name, shapely.LineString(places), days)
    shape = shapely.Polygon(places)
    if not shape.is_valid:
        raise RangeError("The edge of the area crosses itself. Set its points in order around it.")
    return _closure(words.name, shape, days)


def closures_from_file(path: Path, words: ClosureWords, name: str = "") -> list[Closure]:
    """Return the closures of a GeoJSON file; what it does not say is as the words have it.

    Raises
    ------
    FileError, RowError, RangeError
        If the file or the hours cannot be used.
    """
    return closures_in(path, words.days(), name)


def _closure(name: str, shape: shapely.Geometry, days: ClosureDays, road: str = "") -> Closure:
    return Closure(
        name=name.strip()[:LONGEST],
        shape=shape,
        road=road,
        first_on=days.first_on,
        last_on=days.last_on,
        hours=days.hours,
        why=days.why,
    )


def _lines(text: str) -> list[tuple[int, str]]:
    lines = enumerate(text.replace(";", "\n").splitlines(), start=1)
    return [(number, line.strip()) for number, line in lines if line.strip()]


def _point(line: str, number: int) -> tuple[float, float]:
    parts = line.replace(",", " ").split()
    try:
        lon, lat = (float(part) for part in parts)
    except ValueError as wrong:
        raise RangeError(
            f"Point {number}, “{line[:40]}”, is not a longitude and a latitude. Write it as "
            "-122.57, 47.61."
        ) from wrong
    if not (abs(lon) <= 180 and abs(lat) <= 90):
        raise RangeError(f"Point {number}, “{line[:40]}”, lies off the earth: longitude first.")
    return lon, lat
