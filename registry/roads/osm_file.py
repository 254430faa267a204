"""Reading the drivable ways of an OpenStreetMap file (.osm.pbf, .osm, .osm.gz, .osm.bz2)."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import numpy.typing as npt

from registry.errors import RoadError
from registry.roads.drivable import Rule
from registry.roads.road_facts import RoadFacts, road_facts

SUFFIXES = (".osm.pbf", ".pbf", ".osm", ".osm.gz", ".osm.bz2")
OSRM_LARGEST_ID = 2**40 - 1
"""OSRM keeps node ids in 40 bits; a negative id, read as unsigned, is far above that."""
FEWEST_PER_WAY = 2


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """Drivable ways as arrays: w ways, r references from ways to nodes, n nodes.

    ``first`` has shape (w + 1,): way i is ``refs[first[i]:first[i + 1]]``. ``speed_km_h``,
    ``forward``, ``backward`` and ``last_leg`` have shape (w,). ``node_ids`` (n,) is sorted;
    ``lon_deg`` and ``lat_deg`` (n,) are its places. ``missing_nodes`` counts the nodes that ways
    name and the file does not hold. ``facts`` holds, for each way, what else its tags say.
    """

    refs: npt.NDArray[np.int64]
    first: npt.NDArray[np.int64]
    speed_km_h: npt.NDArray[np.float64]
    forward: npt.NDArray[np.bool_]
    backward: npt.NDArray[np.bool_]
    last_leg: npt.NDArray[np.bool_]
    node_ids: npt.NDArray[np.int64]
    lon_deg: npt.NDArray[np.float64]
    lat_deg: npt.NDArray[np.float64]
    missing_nodes: int
    facts: tuple[RoadFacts, ...]

    @property
    def has_odd_ids(self) -> bool:
        """Tell whether a node's id is negative (wrapped, read as unsigned) or above 40 bits."""
        return bool(self.refs.min() < 0 or self.refs.max() > OSRM_LARGEST_ID)


def read_ways(source: Path, rule: Rule) -> Ways:
    """Read the ways that a rule lets pass, and the places of their nodes.

    Parameters
    ----------
    source
        The file; its name says the format.
    rule
        Which ways may be driven, and how.

    Raises
    ------
    RoadError
        If the file cannot be read to its end, is not OpenStreetMap data, or holds no drivable way.
    """
    check_name(source)
    with clear_errors(source):
        refs, first, how, facts = _read_refs(source, rule)
        if not len(how):
            raise RoadError(
                f"{source.name} holds no road that can be driven (no way with a fitting “highway” "
                "tag). Choose an extract that was not filtered, or check that it covers your area."
            )
        ids, lon, lat = _read_places(source, np.unique(refs))
    if not len(ids):
        raise RoadError(
            f"{source.name} holds ways but none of the {len(np.unique(refs)):,} nodes that they "
            "name. Make the extract again so that ways are complete."
        )
    return Ways(
        refs=refs,
        first=first,
        speed_km_h=how[:, 0],
        forward=how[:, 1].astype(bool),
        backward=how[:, 2].astype(bool),
        last_leg=how[:, 3].astype(bool),
        node_ids=ids,
        lon_deg=lon,
        lat_deg=lat,
        missing_nodes=len(np.unique(refs)) - len(ids),
        facts=facts,
    )


def check_name(source: Path) -> None:
    """Raise if there is no such file or its name does not end as road files do.

    Raises
    ------
    RoadError
        With what to do instead.
    """
    if not source.is_file():
        raise RoadError(f"There is no file {source}. Give the path of an .osm.pbf file.")
    if not source.name.lower().endswith(SUFFIXES):
        raise RoadError(
            f"{source.name} does not end in {', '.join(SUFFIXES)}. Road networks are read from "
            "OpenStreetMap files of these kinds; rename the file if it is one."
        )
    if source.stat().st_size == 0:
        raise RoadError(f"{source.name} is empty. Fetch the file again.")


@contextmanager
def clear_errors(source: Path) -> Iterator[None]:
    """Turn what the reader raises into a sentence.

    Raises
    ------
    RoadError
        If anything inside cannot read the file.
    """
    try:
        yield
    except (RuntimeError, OSError, UnicodeDecodeError) as wrong:
        text = str(wrong)
        if "EOF" in text or "end of file" in text or "truncated" in text:
            remedy = "It seems to be cut short: fetch the file again"
        else:
            remedy = "It is not OpenStreetMap data, or damaged: fetch it again or choose another"
        raise RoadError(f"{source.name} cannot be read ({text.rstrip('.')}). {remedy}.") from wrong


def _read_refs(
    source: Path, rule: Rule
) -> tuple[
    npt.NDArray[np.int64], npt.NDArray[np.int64], npt.NDArray[np.float64], tuple[RoadFacts, ...]
]:
    import osmium

    refs: list[int] = []
    first = [0]
    how: list[tuple[float, bool, bool, bool]] = []
    facts: list[RoadFacts] = []
    ways = osmium.FileProcessor(str(source), osmium.osm.WAY).with_filter(
        osmium.filter.KeyFilter("highway")
    )
    for way in ways:
        if not isinstance(way, osmium.osm.Way):
            continue
        tags = dict(way.tags)
        drive = rule(tags)
        if drive is None or len(way.nodes) < FEWEST_PER_WAY:
            continue
        refs.extend(node.ref for node in way.nodes)
        first.append(len(refs))
        how.append((drive.speed_km_h, drive.forward, drive.backward, drive.last_leg))
        facts.append(road_facts(tags))
    return (
        np.array(refs, np.int64),
        np.array(first, np.int64),
        np.array(how, np.float64).reshape(-1, 4),
        tuple(facts),
    )


def _read_places(
    source: Path, wanted: npt.NDArray[np.int64]
) -> tuple[npt.NDArray[np.int64], npt.NDArray[np.float64], npt.NDArray[np.float64]]:
    """Return ids (sorted), longitudes and latitudes of those of the wanted nodes that are there."""
    import osmium

    nodes = osmium.FileProcessor(str(source), osmium.osm.NODE)
    if wanted[0] >= 0:  # the filter's set holds no negative id
        nodes = nodes.with_filter(osmium.filter.IdFilter(wanted.tolist()))
    known = set(wanted.tolist())
    found = {
        node.id: (node.location.lon, node.location.lat)
        for node in nodes
        if isinstance(node, osmium.osm.Node) and node.id in known and node.location.valid()
    }
    ids = np.array(sorted(found), np.int64)
    places = np.array([found[one] for one in ids.tolist()], np.float64).reshape(-1, 2)
    return ids, places[:, 0].copy(), places[:, 1].copy()
