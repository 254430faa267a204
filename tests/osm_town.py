"""A small invented town as OpenStreetMap text, far out at sea, with what makes roads difficult."""

from collections.abc import Iterable, Mapping
from datetime import UTC, datetime
from pathlib import Path

import pytest

from registry.records.places import LonLat
from registry.roads.network import build_network
from tests.once import once

BUILT_AT = datetime(2026, 6, 1, 12, 0, tzinfo=UTC)
WEST, SOUTH = -40.0, 30.0
STEP_LON, STEP_LAT = 0.004, 0.003
"""Between two streets: 386 m and 333 m."""
SIDE = 6

type Way = tuple[Iterable[int], Mapping[str, str]]


def street(column: float, row: float) -> LonLat:
    """Return the place at a corner of the grid, or between (as ``street(1.5, 2)``)."""
    return LonLat(round(WEST + column * STEP_LON, 7), round(SOUTH + row * STEP_LAT, 7))


def corner(column: int, row: int) -> int:
    """Return the node at a corner of the grid."""
    return 1 + column + 10 * row


FAR_END, DRIVE_END, DRIVE_GAP, TRACK_END, ISLE_A, ISLE_B = 101, 102, 103, 104, 105, 106
PLACES: dict[int, LonLat] = {
    FAR_END: street(8, 2),
    DRIVE_END: street(2.5, 5.4),
    DRIVE_GAP: street(2.5, 5.03),
    TRACK_END: street(-1, 3.5),
    ISLE_A: street(2, -2.5),
    ISLE_B: street(3, -2.5),
}
"""Nodes off the grid: a dead end; a drive that ends 10 m before its street; a track; an island."""


def town() -> tuple[dict[int, LonLat], list[Way]]:
    """Return the nodes and the ways of the town.

    Six streets each way; the one in column 4 is one-way to the north. A private lane cuts the block
    between (0, 0) and (1, 1); a track joins (0, 3) and (0, 4) by a bend in the west; the island
    south of the town has a road of its own; a river runs along it.
    """
    nodes = {corner(c, r): street(c, r) for c in range(SIDE) for r in range(SIDE)} | PLACES
    ways: list[Way] = [
        ([corner(c, r) for c in range(SIDE)], {"highway": "residential", "name": f"Row {r}"})
        for r in range(SIDE)
    ]
    ways += [
        (
            [corner(c, r) for r in range(SIDE)],
            {"highway": "secondary" if c == 2 else "residential", "name": f"Column {c}"}
            | ({"oneway": "yes"} if c == 4 else {}),
        )
        for c in range(SIDE)
    ]
    ways += [
        ([corner(5, 2), FAR_END], {"highway": "unclassified", "surface": "gravel"}),
        ([corner(0, 0), corner(1, 1)], {"highway": "service", "access": "private"}),
        ([DRIVE_GAP, DRIVE_END], {"highway": "service", "service": "driveway"}),
        ([corner(0, 3), TRACK_END, corner(0, 4)], {"highway": "track"}),
        ([ISLE_A, ISLE_B], {"highway": "residential", "name": "Isle Road"}),
        ([corner(0, 5), corner(5, 5)], {"highway": "footway"}),
        ([201, 202], {"waterway": "river", "name": "Invented River"}),
        ([203, 204, 205, 203], {"natural": "water"}),
        ([203, 205, 202, 203], {"building": "yes"}),
    ]
    nodes |= {
        201: street(-2, -1),
        202: street(8, -1),
        203: street(4, -1.5),
        204: street(5, -1.5),
        205: street(5, -2),
    }
    return nodes, ways


def write_osm(
    path: Path,
    nodes: Mapping[int, LonLat] | None = None,
    ways: Iterable[Way] | None = None,
) -> Path:
    """Write nodes and ways, the town's by default, as OpenStreetMap XML."""
    own_nodes, own_ways = town()
    lines = ['<?xml version="1.0" encoding="UTF-8"?>', '<osm version="0.6" generator="test">']
    for number, place in (own_nodes if nodes is None else nodes).items():
        lines.append(f'<node id="{number}" version="1" lon="{place.lon}" lat="{place.lat}"/>')
    for number, (refs, tags) in enumerate(own_ways if ways is None else ways, start=1):
        lines.append(f'<way id="{number}" version="1">')
        lines += [f'<nd ref="{ref}"/>' for ref in refs]
        lines += [f'<tag k="{key}" v="{value}"/>' for key, value in tags.items()]
        lines.append("</way>")
    path.write_text("\n".join([*lines, "</osm>"]), encoding="utf-8")
    return path


def quiet(_text: str, _share: float) -> None:
    """Hear what goes on and say nothing."""


@pytest.fixture(scope="session")
def town_file(run_folder: Path) -> Path:
    """The town as a file."""

    def make(path: Path) -> None:
        write_osm(path)

    return once(run_folder, "town.osm", make)


@pytest.fixture(scope="session")
def town_roads(run_folder: Path, town_file: Path) -> Path:
    """The folder of all road networks, with the town's network in use; built once for a run."""

    def make(folder: Path) -> None:
        build_network(town_file, folder, "Invented roads, no real place", BUILT_AT, quiet)

    return once(run_folder, "town_roads", make)
