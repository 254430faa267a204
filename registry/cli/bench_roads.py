"""``riserway bench roads``: build a network and compute the full matrix between points, timed."""

import csv
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from registry.cli.options import json_option, print_json
from registry.errors import Complaint, FileError, RowError
from registry.records.places import LonLat

if TYPE_CHECKING:
    from registry.records.closures import Closure
    from registry.roads.cached import CachedRoads

COLUMNS = ("id", "lon", "lat")
LIMITS_DEG = {"lon": 180.0, "lat": 90.0}
CLOSED_DEG = 0.0005
"""So far around the middle of a drive its road is closed, some 50 m."""


@click.command(
    "roads",
    epilog="Example: riserway bench roads county.osm.pbf --points points.csv --json",
)
@click.argument("file", type=click.Path(path_type=Path))
@click.option(
    "--points",
    required=True,
    type=click.Path(path_type=Path),
    help="A CSV file with the columns id, lon, lat.",
)
@json_option
def command(file: Path, points: Path, as_json: bool) -> None:
    """Build the road network of FILE and compute the matrix between all points."""
    names, places = read_points(points)
    answer = measured(file, names, places)
    if as_json:
        print_json(answer)
        return
    click.echo(
        f"{answer['engine']}: built in {answer['build_s']} s; {len(places):,} × {len(places):,} "
        f"in {answer['matrix_s']} s; {answer['unreachable']:,} pairs not reachable."
    )
    if answer["closed_s"] is not None:
        click.echo(
            f"A closed road is in the matrix after {answer['closed_s']} s and changes "
            f"{answer['closed_pairs']:,} pairs; once it is lifted, gone after "
            f"{answer['lifted_s']} s."
        )
    for warning in answer["warnings"]:
        click.echo(warning, err=True)


def measured(file: Path, names: list[str], places: list[LonLat]) -> dict[str, Any]:
    """Return what the command prints; rows and columns are in the order of the points."""
    from datetime import UTC, datetime

    import numpy as np

    from registry.roads.choose import road_engine
    from registry.roads.network import build_network

    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        began_s = time.perf_counter()
        build_network(
            file, folder, "", datetime.now(UTC), lambda _text, _share: None, with_basemap=False
        )
        built_s = time.perf_counter()
        with road_engine(folder) as engine:
            matrix = engine.travel_times(places)
        ended_s = time.perf_counter()
        closed = _closed(folder, places)
    lost = np.argwhere(np.isnan(matrix.travel_s)).tolist()
    return {
        "build_s": round(built_s - began_s, 3),
        "matrix_s": round(ended_s - built_s, 3),
        **closed,
        "unreachable": len(lost),
        "durations_s": _rows(matrix.travel_s),
        "distances_m": _rows(matrix.travel_m),
        "engine": matrix.source,
        "unreachable_pairs": [[names[a], names[b]] for a, b in lost],
        "snap_m": np.round(matrix.snap_m, 1).tolist(),
        "warnings": list(matrix.warnings),
    }


def _closed(folder: Path, places: list[LonLat]) -> dict[str, Any]:
    """Return how long a closed road takes to be in the matrix, and to be gone when lifted.

    Each time the network is opened anew, as a command opens it.
    """
    import numpy as np

    from registry.records.roads import RoadConditions
    from registry.roads.choose import road_engine

    with road_engine(folder) as engine:
        before = engine.travel_times(places)
        closure = _in_the_middle(engine, places)
    if closure is None:
        return {"closed_s": None, "closed_pairs": None, "lifted_s": None}
    began_s = time.perf_counter()
    with road_engine(folder) as engine:
        shut = engine.under(RoadConditions(closures=(closure,))).travel_times(places)
    closed_s = time.perf_counter()
    with road_engine(folder) as engine:
        engine.under(RoadConditions()).travel_times(places)
    lifted_s = time.perf_counter()
    same = np.isclose(shut.travel_s, before.travel_s, equal_nan=True)
    return {
        "closed_s": round(closed_s - began_s, 3),
        "closed_pairs": int((~same).sum()),
        "lifted_s": round(lifted_s - closed_s, 3),
    }


def _in_the_middle(engine: "CachedRoads", places: list[LonLat]) -> "Closure | None":
    """Return a closure in the middle of the first drive between two points that has a road."""
    from datetime import UTC, datetime

    from shapely import LineString

    from registry.records.closures import Closure

    for place in places[1:]:
        line = engine.line([places[0], place])
        if len(line) > 1:
            way = LineString([(point.lon, point.lat) for point in line])
            spot = way.interpolate(0.5, normalized=True).buffer(CLOSED_DEG)
            today = datetime.now(UTC).date()
            return Closure(name="bench", shape=spot, first_on=today)
    return None


def read_points(path: Path) -> tuple[list[str], list[LonLat]]:
    """Return the ids and the places of a points file.

    Raises
    ------
    FileError
        If the file cannot be read, lacks a column or holds no point.
    RowError
        If a row has no usable position; all such rows are named.
    """
    try:
        with path.open(encoding="utf-8-sig", newline="") as stream:
            rows = list(csv.DictReader(stream))
    except (OSError, UnicodeDecodeError, csv.Error) as wrong:
        raise FileError(f"{path} cannot be read as CSV in UTF-8 ({wrong}).") from wrong
    missing = [column for column in COLUMNS if not rows or column not in rows[0]]
    if missing:
        raise FileError(
            f"{path.name} needs a row of headings with id, lon, lat and at least one point below "
            f"it; missing: {', '.join(missing)}."
        )
    complaints: list[Complaint] = []
    places = [_place(path.name, number, row, complaints) for number, row in enumerate(rows, 2)]
    if complaints:
        raise RowError(complaints)
    return [row["id"] for row in rows], places


def _place(file: str, number: int, row: dict[str, str], complaints: list[Complaint]) -> LonLat:
    degrees = {}
    for field, limit in LIMITS_DEG.items():
        try:
            value = float(row[field])
        except (TypeError, ValueError):
            value = float("nan")
        if not abs(value) <= limit:
            wrong = f"“{row[field]}” is no number of degrees from −{limit:.0f} to {limit:.0f}"
            complaints.append(
                Complaint(file, number, field, wrong, "Give degrees on WGS 84 (EPSG:4326)")
            )
        degrees[field] = value
    return LonLat(degrees["lon"], degrees["lat"])


def _rows(table: Any) -> list[list[float | None]]:  # noqa: ANN401 - a numpy array
    import numpy as np

    return [[None if np.isnan(cell) else round(cell, 1) for cell in row] for row in table.tolist()]
