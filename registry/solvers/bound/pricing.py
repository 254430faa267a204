"""Prices into routes: which routes of a kind of technician are worth more than they cost."""

from dataclasses import dataclass
from math import ceil

import numpy as np

from registry.solvers.bound.completion import complete, least_route
from registry.solvers.bound.kinds import SCALE, UNPRICED, BoundDay, Kind
from registry.solvers.bound.labels import (
    DONE,
    EVERY,
    LABEL,
    Labels,
    Words,
    cheapest,
    grow,
    stops_of,
)
from registry.solvers.rows import Ints

COARSE_STEPS, FINE_STEPS = 120, 500
"""About how many steps of time a shift is cut into, while prices change and for a last list."""
MOST_STEPS = 4_000
"""More steps would take too long to be of use."""


@dataclass(frozen=True, slots=True, eq=False)
class RouteFound:
    """One route of a kind of technician: its visits in order, what it costs."""

    kind: int
    stops: tuple[int, ...]
    cost_s: int


@dataclass(frozen=True, slots=True, eq=False)
class Priced:
    """What a labelling found: no route costs less than ``least``; whether it looked at all."""

    least: int
    complete: bool
    routes: list[RouteFound]


def room_for(day: BoundDay, labels: int) -> Labels:
    """Return room for labels."""
    return Labels(np.empty(labels, LABEL), np.empty((labels, (day.visits + 63) // 64), np.uint64))


def too_fine(day: BoundDay) -> bool:
    """Tell whether stops are so short beside the shift that the tables would be too large."""
    return any(kind.shift_s > kind.shortest_s * MOST_STEPS for kind in day.kinds)


@dataclass(frozen=True, slots=True, eq=False)
class Rest:
    """The least price of the rest of a route; see ``complete``."""

    step_s: int
    least: Ints
    following: Ints
    second: Ints


def rest_of_routes(day: BoundDay, kind: Kind, gain: Ints, steps: int) -> Rest:
    """Return what the rest of a route costs at least."""
    step_s = max(1, min(kind.shortest_s, ceil(kind.shift_s / steps)))
    shape = (2, day.visits, kind.shift_s // step_s + 1)
    least, second = np.full(shape, UNPRICED), np.full(shape, UNPRICED)
    following = np.full(shape, -2, np.int64)
    complete(
        day.nodes,
        day.windows,
        kind.travel,
        kind.who,
        kind.members,
        kind.home_before,
        kind.home_after,
        gain,
        step_s,
        least,
        following,
        second,
    )
    return Rest(step_s, least, following, second)


@dataclass(frozen=True, slots=True)
class Grown:
    """How a labelling ended: no route costs less than ``least``; ``count`` labels were made."""

    least: int
    complete: bool
    count: int


def grown(
    day: BoundDay,
    kind: Kind,
    of_visit: Ints,
    kept: Words,
    room: Labels,
    how: int,
    limit: int,
    most_work: int,
) -> Grown:
    """Grow the routes of a kind that are priced below ``limit``, in ``1 / SCALE`` seconds."""
    if len(kind.members) == 0:
        return Grown(limit, complete=True, count=0)
    gain = of_visit - kind.extra * SCALE
    rest = rest_of_routes(day, kind, gain, FINE_STEPS if how == EVERY else COARSE_STEPS)
    rows, sets = room
    ended, count, least = grow(
        day.nodes,
        day.windows,
        kind.travel,
        kind.who,
        kind.members,
        kind.home_before,
        kind.home_after,
        gain,
        kept,
        rest.step_s,
        rest.least,
        rest.following,
        rest.second,
        rows,
        sets,
        how,
        limit,
        most_work,
    )
    if ended != DONE:
        least = least_route(
            day.nodes,
            day.windows,
            kind.travel,
            kind.who,
            kind.members,
            gain,
            rest.step_s,
            rest.least,
            rest.following,
            rest.second,
        )
    return Grown(min(int(least), limit), ended == DONE, int(count))


def price_routes(
    day: BoundDay,
    number: int,
    of_visit: Ints,
    kept: Words,
    room: Labels,
    how: int,
    limit: int,
    most_routes: int,
    most_work: int,
) -> Priced:
    """Return routes of a kind priced below ``limit``, in ``1 / SCALE`` seconds."""
    kind = day.kinds[number]
    ended = grown(day, kind, of_visit, kept, room, how, limit, most_work)
    routes = [
        route_found(kind, number, tuple(int(stop) for stop in stops_of(room.rows, label)))
        for label in cheapest(room.rows, ended.count, limit, most_routes)
    ]
    return Priced(ended.least, ended.complete, routes)


def route_found(kind: Kind, number: int, stops: tuple[int, ...]) -> RouteFound:
    """Return a route with its cost."""
    nodes = [kind.who.start, *stops, kind.who.end]
    drive_s = int(kind.travel[nodes[:-1], nodes[1:]].sum())
    return RouteFound(number, stops, drive_s + int(kind.extra[list(stops)].sum()))
