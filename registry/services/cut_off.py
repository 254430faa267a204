"""Which closure stands between a site that waits and those who could go, said beside it."""

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
    return tuple(_named(one, roads, could_go.get(one.site_id, ())) for one in waiting)


def _named(one: Waiting, roads: RoadEngine, drivers: Sequence[Driver]) -> Waiting:
    if one.why_word != WhyWord.UNREACHABLE or one.lon_lat is None:
        return one
    asked = {(driver.start, driver.limits): driver for driver in reversed(drivers)}
    for driver in reversed(asked.values()):
        names = roads.in_the_way(driver.start, one.lon_lat, limits=driver.limits)
        if names:
            stands, it = ("stands", "it") if len(names) == 1 else ("stand", "them")
            reached = "could be reached"
            if driver.limits is not None:
                reached = f"could be reached in the truck of {driver.name}"
            said = (
                f"Closed roads: {listed(names)} {stands} in the way; without {it} the site"
                f" {reached}."
            )
            return replace(one, why=f"{one.why} {said}")
    return one
