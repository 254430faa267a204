"""Which closure stands between a site that waits and where the day starts, said beside it."""

from dataclasses import replace

from registry.plan.ports import RoadEngine
from registry.plan.words import WhyWord
from registry.records.day import Waiting
from registry.records.places import LonLat


def closures_named(
    waiting: tuple[Waiting, ...], roads: RoadEngine, starts: tuple[LonLat, ...]
) -> tuple[Waiting, ...]:
    """Return the waiting visits; those no road leads to say which closures stand in the way.

    Parameters
    ----------
    waiting
        The visits of a day that are on no route.
    roads
        The engine under the conditions of the day.
    starts
        Where technicians start.
    """
    if not starts:
        return waiting
    return tuple(_named(one, roads, starts[0]) for one in waiting)


def _named(one: Waiting, roads: RoadEngine, start: LonLat) -> Waiting:
    if one.why_word != WhyWord.UNREACHABLE or one.lon_lat is None:
        return one
    names = roads.in_the_way(start, one.lon_lat)
    if not names:
        return one
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    stands, it = ("stands", "it") if len(names) == 1 else ("stand", "them")
    said = f"Closed roads: {listed} {stands} in the way; without {it} the site could be reached."
    return replace(one, why=f"{one.why} {said}")
