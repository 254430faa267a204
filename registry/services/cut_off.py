"""Which closure stands between a site that waits and those who could go, said beside it."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import NamedTuple

from registry.plan.ports import RoadEngine
from registry.plan.say import listed
from registry.plan.words import WhyWord
from registry.records.day import Waiting
from registry.records.places import LonLat
from registry.records.roads import VehicleLimits


class Driver(NamedTuple):
    """Somebody who may make a visit: from where, in a truck of what weight and height."""

    name: str
    start: LonLat
    limits: VehicleLimits | None = None


def closures_named(
    waiting: tuple[Waiting, ...], roads: RoadEngine, could_go: Mapping[int, Sequence[Driver]]
) -> tuple[Waiting, ...]:
    """Return the waiting visits; those no road leads to say which closures stand in the way.

    Parameters
    ----------
    waiting
        The visits of a day that are on no route.
    roads
        The engine under the conditions of the day.
    could_go
        Who may make the visit, by the site's id. A closure counts that keeps one of them away, in
        the truck that they drive.
    """
    cut_off = {
        at: _distinct(could_go.get(one.site_id, ()))
        for at, one in enumerate(waiting)
        if one.why_word == WhyWord.UNREACHABLE and one.lon_lat is not None
    }
    said = list(waiting)
    for turn in range(max(map(len, cut_off.values()), default=0)):
        asked: defaultdict[tuple[LonLat, VehicleLimits | None], list[int]] = defaultdict(list)
        for at, drivers in cut_off.items():
            if turn < len(drivers) and said[at] is waiting[at]:
                asked[drivers[turn].start, drivers[turn].limits].append(at)
        for (start, limits), those in asked.items():
            places = [place for at in those if (place := waiting[at].lon_lat) is not None]
            for at, names in zip(
                those, roads.in_the_way(start, places, limits=limits), strict=True
            ):
                if names:
                    said[at] = _named(waiting[at], names, cut_off[at][turn])
    return tuple(said)


def _distinct(drivers: Sequence[Driver]) -> list[Driver]:
    """Return the drivers in their order, one of those who start alike in trucks alike."""
    first: dict[tuple[LonLat, VehicleLimits | None], Driver] = {}
    for one in drivers:
        first.setdefault((one.start, one.limits), one)
    return list(first.values())


def _named(one: Waiting, names: Sequence[str], driver: Driver) -> Waiting:
    stands, it = ("stands", "it") if len(names) == 1 else ("stand", "them")
    reached = "could be reached"
    if driver.limits is not None:
        reached = f"could be reached in the truck of {driver.name}"
    said = f"Closed roads: {listed(names)} {stands} in the way; without {it} the site {reached}."
    return replace(one, why=f"{one.why} {said}")
