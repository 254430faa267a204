"""Joining roads into a network: where two roads cross on the ground, they share a node."""

from collections import defaultdict
from dataclasses import dataclass, replace
from itertools import pairwise
from math import floor

from demo_sites.county.frame import Place, distance_m
from demo_sites.county.lines import between, crossing, nearest_on
from demo_sites.county.road_plan import Road

CELL_M = 250.0
SNAP_M = 14.0
"""A road's end this near to another road is joined to it [m]."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way: node numbers (indices into the network's nodes) and tags."""

    nodes: tuple[int, ...]
    tags: dict[str, str]


@dataclass(frozen=True, slots=True)
class Network:
    """Nodes as places, and ways between them."""

    nodes: tuple[Place, ...]
    ways: tuple[Way, ...]


def _cells(a: Place, b: Place) -> list[tuple[int, int]]:
    xs = sorted((floor(a.x / CELL_M), floor(b.x / CELL_M)))
    ys = sorted((floor(a.y / CELL_M), floor(b.y / CELL_M)))
    return [(x, y) for x in range(xs[0], xs[1] + 1) for y in range(ys[0], ys[1] + 1)]


def _is_bridge(road: Road) -> bool:
    return "bridge" in road.tags


def joined_ends(roads: list[Road]) -> list[Road]:
    """Return the roads with each loose end that lies near another road put onto it."""
    result = list(roads)
    for i, road in enumerate(roads):
        if _is_bridge(road):
            continue
        others = result[:i] + result[i + 1 :]
        line = list(result[i].line)
        line[0], line[-1] = _snapped(line[0], others), _snapped(line[-1], others)
        result[i] = replace(road, line=tuple(line))
    return result


def _snapped(place: Place, others: list[Road]) -> Place:
    ends = [end for other in others for end in (other.line[0], other.line[-1])]
    end = min(ends, key=lambda one: distance_m(one, place))
    if distance_m(end, place) < SNAP_M:
        return end
    best = (SNAP_M, place)
    for other in others:
        away, which, share = nearest_on(other.line, place)
        if away < best[0] and not _is_bridge(other):
            best = (away, between(other.line[which], other.line[which + 1], share))
    return best[1]


def network_of(roads: list[Road]) -> Network:
    """Return the network of roads: crossings become shared nodes, except at bridges."""
    cuts: dict[tuple[int, int], list[tuple[float, Place]]] = defaultdict(list)
    grid: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
    for i, road in enumerate(roads):
        for k, (a, b) in enumerate(pairwise(road.line)):
            for cell in _cells(a, b):
                grid[cell].append((i, k))
    seen: set[tuple[tuple[int, int], tuple[int, int]]] = set()
    for members in grid.values():
        for n, one in enumerate(members):
            for two in members[n + 1 :]:
                pair = (min(one, two), max(one, two))
                if one[0] != two[0] and pair not in seen:
                    seen.add(pair)
                    _cut(roads, pair, cuts)
    return _numbered(roads, cuts)


def _cut(
    roads: list[Road],
    pair: tuple[tuple[int, int], tuple[int, int]],
    cuts: dict[tuple[int, int], list[tuple[float, Place]]],
) -> None:
    (i, k), (j, m) = pair
    if _is_bridge(roads[i]) or _is_bridge(roads[j]):
        return
    a, b, c, d = *roads[i].line[k : k + 2], *roads[j].line[m : m + 2]
    for spot in (c, d):  # an end of one that lies on the other
        away, _, share = nearest_on((a, b), spot)
        if away < 0.05:
            cuts[(i, k)].append((share, spot))
    for spot in (a, b):
        away, _, share = nearest_on((c, d), spot)
        if away < 0.05:
            cuts[(j, m)].append((share, spot))
    shares = crossing(a, b, c, d)
    if shares:
        spot = between(a, b, shares[0])
        cuts[(i, k)].append((shares[0], spot))
        cuts[(j, m)].append((shares[1], spot))


class _Numbers:
    """Gives every place its number; places nearer than two metres are one."""

    def __init__(self) -> None:
        self.nodes: list[Place] = []
        self._near: dict[tuple[int, int], list[int]] = defaultdict(list)

    def of(self, place: Place) -> int:
        """Return the number of a place, a new one if none is near."""
        x, y = floor(place.x / 4), floor(place.y / 4)
        for cell in ((x + i, y + k) for i in (-1, 0, 1) for k in (-1, 0, 1)):
            for known in self._near.get(cell, ()):
                if distance_m(self.nodes[known], place) < 2.0:
                    return known
        self.nodes.append(place)
        self._near[(x, y)].append(len(self.nodes) - 1)
        return len(self.nodes) - 1


def _numbered(roads: list[Road], cuts: dict[tuple[int, int], list[tuple[float, Place]]]) -> Network:
    numbers, ways = _Numbers(), []
    for i, road in enumerate(roads):
        refs: list[int] = []
        for k, start in enumerate(road.line):
            inside = sorted(cuts[(i, k)]) if k < len(road.line) - 1 else []
            for spot in (start, *(place for _, place in inside)):
                ref = numbers.of(spot)
                if not refs or refs[-1] != ref:
                    refs.append(ref)
        if len(refs) > 1:
            tags = {"highway": road.highway, "name": road.name} | road.tags
            ways.append(Way(tuple(refs), {k: v for k, v in tags.items() if v}))
    return Network(tuple(numbers.nodes), tuple(ways))


def largest_part(network: Network) -> tuple[set[int], int]:
    """Return the nodes of the largest strongly connected part, and how many nodes are on roads."""
    ahead: dict[int, list[int]] = defaultdict(list)
    back: dict[int, list[int]] = defaultdict(list)
    on_roads = {ref for way in network.ways for ref in way.nodes}
    for way in network.ways:
        for a, b in pairwise(way.nodes):
            ahead[a].append(b)
            back[b].append(a)
            if way.tags.get("oneway") != "yes":
                ahead[b].append(a)
                back[a].append(b)
    left, best = set(on_roads), set[int]()
    while left:
        start = min(left)
        part = _reached(start, ahead) & _reached(start, back)
        left -= part
        best = max(best, part, key=len)
    return best, len(on_roads)


def _reached(start: int, ahead: dict[int, list[int]]) -> set[int]:
    seen, todo = {start}, [start]
    while todo:
        for other in ahead[todo.pop()]:
            if other not in seen:
                seen.add(other)
                todo.append(other)
    return seen
