"""How soon each leg of a route can be begun, and how late so that the rest still holds.

Forward and backward slacks after Savelsbergh, "The Vehicle Routing Problem with Time Windows:
Minimizing Route Duration", ORSA Journal on Computing 4(2), 1992, here for several windows, lunch
and roads that are closed for hours. Sooner is never worse, so one moment each is enough.
"""

from collections.abc import Sequence

from registry.plan.clock import Leg
from registry.plan.problem import Lunch, OnDuty
from registry.plan.road_hours import NEVER_S

type Moments = tuple[int | None, int | None]
"""The earliest with lunch to come, the earliest with lunch behind; None = not any more."""


def on_after(leg: Leg, now: Moments, lunch: Lunch | None) -> Moments:
    """Return the earliest moments after a leg and the service at its end."""
    if leg.is_cut_off:
        return None, None
    hungry_s, fed_s = now
    after_s = None if fed_s is None else leg.over_s(leg.reached_s(fed_s))
    if hungry_s is None:
        return None, after_s
    if lunch is not None and hungry_s <= lunch.to_s:
        eaten_s = leg.over_s(leg.reached_fed_s(hungry_s, lunch))
        if eaten_s is not None and (after_s is None or eaten_s < after_s):
            after_s = eaten_s
    return leg.over_s(leg.reached_s(hungry_s)), after_s


def earliest(legs: Sequence[Leg], who: OnDuty) -> list[Moments]:
    """Return the earliest moments before each leg, and after the last."""
    found: list[Moments] = [(who.shift_from_s, None)]
    for leg in legs:
        found.append(on_after(leg, found[-1], who.lunch))
    return found


def latest(legs: Sequence[Leg], who: OnDuty) -> list[tuple[int, int]]:
    """Return the latest moments before each leg from which the rest holds, and after the last."""
    lunch, fed_s = who.lunch, who.shift_to_s + who.overtime_s
    hungry_s = fed_s if lunch is None else min(fed_s, lunch.to_s)
    found = [(hungry_s, fed_s)]
    for leg in reversed(legs):
        ready_s, fed_ready_s = _latest_ready_s(leg, hungry_s), _latest_ready_s(leg, fed_s)
        hungry_s, fed_s = _latest_off_s(leg, ready_s), _latest_off_s(leg, fed_ready_s)
        if lunch is not None:
            hungry_s = max(hungry_s, _latest_fed_off_s(leg, fed_ready_s, lunch))
        found.append((hungry_s, fed_s))
    return found[::-1]


def _latest_ready_s(leg: Leg, over_s: int) -> int:
    """Return the latest moment to be at the end of a leg so that its service is over by then."""
    if not leg.windows:
        return over_s - leg.service_s
    open_by = [closes for opens, closes in leg.windows if opens + leg.service_s <= over_s]
    return min(open_by[-1], over_s - leg.service_s) if open_by else -NEVER_S


def _latest_off_s(leg: Leg, ready_s: int) -> int:
    """Return the latest moment to begin a leg that is behind by then."""
    if leg.is_cut_off:
        return -NEVER_S
    if not leg.ways:
        return ready_s - leg.drive_s
    ends = ((way, min(way.to_s, ready_s) - way.drive_s) for way in leg.ways)
    return max((off_s for way, off_s in ends if off_s >= way.from_s), default=-NEVER_S)


def _latest_fed_off_s(leg: Leg, ready_s: int, lunch: Lunch) -> int:
    """Return the latest moment to begin a leg that is behind, with lunch on it, by then."""
    if leg.is_cut_off:
        return -NEVER_S
    begun_s = ready_s - lunch.duration_s
    if not leg.ways:
        return min(lunch.to_s, begun_s - leg.drive_s) if lunch.from_s <= begun_s else -NEVER_S
    found = [-NEVER_S]
    for way in leg.ways:
        # Lunch after arriving, before leaving, on the way: see ``road_hours.drives``.
        off_s = min(way.to_s, lunch.to_s, begun_s) - way.drive_s
        if lunch.from_s <= begun_s and off_s >= way.from_s:
            found.append(off_s)
        off_s = min(way.to_s, ready_s) - way.drive_s
        if off_s >= max(lunch.from_s + lunch.duration_s, way.from_s):
            found.append(min(lunch.to_s, off_s - lunch.duration_s))
        off_s = min(lunch.from_s - 1, off_s - lunch.duration_s)
        if off_s >= max(way.from_s, lunch.from_s - way.drive_s + 1):
            found.append(off_s)
    return max(found)
