"""What a change costs the day, as people weigh it: a drive in minutes, lateness in days.

What an overdue visit counts for beyond its grace is more than any drive: hours of driving would
tell nobody anything.
"""

from collections.abc import Iterable

from registry.plan.problem import DayProblem, DayVisit
from registry.plan.room_made import RoomMade
from registry.plan.say import listed, minutes, more_or_less

MOST_TOLD_S = 3 * 3600
"""A price above this is no drive that anybody weighs."""


def instead_words(problem: DayProblem, room: RoomMade) -> str:
    """Say which one visit would have to wait instead, and what that would cost."""
    who, other = problem.technicians[room.technician], problem.visits[room.out[0]]
    if late := _late_words(room.price_s, [other]):
        return f"Put on {who.name}’s route, {other.name} would wait, which counts for more: {late}."
    price = f"{minutes(room.price_s)} more" if room.price_s > 0 else "nothing"
    return f"Put on {who.name}’s route instead of {other.name}, it would cost the day {price}."


def room_words(problem: DayProblem, room: RoomMade | None) -> str:
    """Say which visits would fall out to make room, and what that would cost."""
    if room is None:
        return "No visit that may wait would make room."
    out = [problem.visits[one] for one in room.out]
    names = listed([one.name for one in out])
    drive = f"driving {more_or_less(room.added_s)}"
    if late := _late_words(room.price_s, out):
        return f"To fit it in, {names} would fall out, which counts for more: {late}; {drive}."
    cost = f"the day’s cost {more_or_less(room.price_s)}"
    return f"To fit it in, {names} would fall out; {drive}, {cost}."


def waiting_words(visit: DayVisit) -> str:
    """Say what waiting costs a visit that there would be room for."""
    if late := _late_words(visit.worth_s, [visit]):
        return f"it is {late}"
    return f"waiting costs {minutes(visit.worth_s)}"


def _late_words(price_s: int, visits: Iterable[DayVisit]) -> str:
    """Return how late the latest of some visits is, empty where minutes tell the price."""
    days = max((one.days_overdue for one in visits), default=0)
    if price_s < MOST_TOLD_S or days < 1:
        return ""
    return f"{days} day{'s' if days > 1 else ''} overdue"
