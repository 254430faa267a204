"""Write the files of the invented county: ``python -m demo_sites.make_county [FOLDER]``.

The same program writes the same bytes every time. Nothing in the files is real.
"""

import csv
import json
import sys
from io import StringIO
from pathlib import Path
from random import Random
from typing import Any

from demo_sites.county.calendar import TODAY
from demo_sites.county.flood_layers import bfe_lines, flood_areas
from demo_sites.county.gauge import gauges, levels, low_points, river, stages
from demo_sites.county.homes import choose_spots
from demo_sites.county.households import Cells
from demo_sites.county.landscape import (
    Shape,
    built_up,
    fields,
    names,
    other_houses,
    water,
    woods,
)
from demo_sites.county.lanes import Room, all_roads, planned_roads
from demo_sites.county.network import network_of
from demo_sites.county.osm_file import write_map
from demo_sites.county.outside import licences, reports
from demo_sites.county.paper import crew, rules
from demo_sites.county.records import Records, records
from demo_sites.county.road_plan import Road

SEED = 41
FILES = Path(__file__).with_name("files")
FIRST = ("key", "site", "system", "date", "technician", "lon", "lat")
"""Columns that stand first, where a file has them."""


def county() -> tuple[list[Road], Room, Records]:
    """Return the roads of the county, the ground that they take, and all records."""
    roads = all_roads(Random(SEED))
    room = Room()
    for road in roads:
        room.take(road.line)
    return roads, room, records(choose_spots(roads, room, Random(SEED + 1)), Random(SEED + 2))


def main(folder: Path = FILES) -> None:
    """Write all files of the county into a folder."""
    folder.mkdir(parents=True, exist_ok=True)
    roads, room, found = county()
    write_map(folder / "roads.osm.pbf", network_of(roads), _shapes(found, room), names())
    (folder / "flood_areas.geojson").write_text(_geojson(flood_areas()), newline="")
    (folder / "flood_lines.geojson").write_text(_geojson(bfe_lines()), newline="")
    (folder / "river.geojson").write_text(_geojson(river()), newline="")
    for name, rows in (
        ("gauges", gauges()),
        ("levels", levels()),
        ("stages", stages()),
        ("low_points", low_points(roads)),
        ("sites", found.sites),
        ("systems", found.systems),
        ("components", found.components),
        ("windows", found.windows),
        ("agreements", found.agreements),
        ("conditions", found.conditions),
        ("readings", found.readings),
        ("licences", licences()),
        ("reports", reports(found.sites)),
    ):
        (folder / f"{name}.csv").write_text(_csv(rows), encoding="utf-8", newline="")
    (folder / "crew.toml").write_text(crew(), encoding="utf-8", newline="")
    (folder / "rules.toml").write_text(rules(), encoding="utf-8", newline="")
    (folder / "today.txt").write_text(f"{TODAY}\n", encoding="utf-8", newline="")


def _shapes(found: Records, room: Room) -> list[Shape]:
    shapes = [*built_up(), *fields(Random(SEED + 3)), *woods(Random(SEED + 4)), *water()]
    rng = Random(SEED + 5)
    shapes += [Shape(home.outline, {"building": "yes"}) for home in found.homes]
    streets = [road.line for road in planned_roads() if road.highway == "residential"]
    return shapes + other_houses(rng, room, [home.spot.place for home in found.homes], streets)


def _geojson(layer: dict[str, Any]) -> str:
    """Return a feature collection with one feature on each line."""
    lines = [json.dumps(one, separators=(",", ":")) for one in layer["features"]]
    head = f'{{"type":"FeatureCollection","name":"{layer["name"]}","features":[\n'
    return head + ",\n".join(lines) + "\n]}\n"


def _csv(rows: list[Cells]) -> str:
    """Return rows as CSV (RFC 4180); columns in the order in which they first appear."""
    columns = list(dict.fromkeys(name for row in rows for name in row))
    columns = [c for c in FIRST if c in columns] + [c for c in columns if c not in FIRST]
    columns = [c for c in columns if any(row.get(c) for row in rows)]
    text = StringIO()
    writer = csv.DictWriter(text, columns, extrasaction="ignore", lineterminator="\r\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else FILES)
