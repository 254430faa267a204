"""For a visit that waits: what stands in the way of each technician, and what fitting it costs."""

from dataclasses import dataclass

from registry.plan.gaps import Clocks
from registry.plan.prices import room_words, waiting_words
from registry.plan.problem import DayProblem, RouteCalls
from registry.plan.room_made import RoomMade, made, room_made
from registry.plan.say import minutes
from registry.plan.shortfall import NEVER_S
from registry.plan.ways import best_way
from registry.plan.why_able import lack
from registry.plan.why_links import linked
from registry.plan.why_short import before_when, missing
from registry.plan.words import WhyWord


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """How a technician stands to a visit: ``word`` for scripts, ``limit`` and ``cost`` for people.

    ``room`` is how the visit would fit on the route and who would fall out, None if it cannot.
    """

    technician: int
    word: WhyWord
    limit: str
    cost: str = ""
    room: RoomMade | None = None


def why_each(
    problem: DayProblem, routes: tuple[RouteCalls, ...], visit: int
) -> tuple[Standing, ...]:
    """Return for each technician what stands in the way of a visit on no route.

    Those on whose route it would cost the day least come first, those who may not go last.
    """
    seen = linked(problem, routes, visit)
    if seen.blocked:
        every = range(len(problem.technicians))
        return tuple(Standing(technician=k, word=WhyWord.LINKED, limit=seen.blocked) for k in every)
    known = Clocks(seen.problem)
    found = [_standing(known, routes[k], k, visit) for k in range(len(routes))]
    return tuple(
        sorted(found, key=lambda one: (one.room is None, one.room.price_s if one.room else 0))
    )


def _standing(known: Clocks, calls: RouteCalls, technician: int, visit: int) -> Standing:
    problem = known.problem
    who, what = problem.technicians[technician], problem.visits[visit]
    if (lacking := lack(problem, technician, visit)) is not None:
        return Standing(technician=technician, word=lacking[0], limit=f"{who.name} {lacking[1]}.")
    way = best_way(problem, technician, calls, visit, known)
    if way.fits:
        room = made(problem, technician, calls, way, (), visit, known)
        return Standing(
            technician=technician,
            word=WhyWord.OTHERS,
            limit=f"There is room on {who.name}’s route.",
            cost=f"It would add {minutes(way.added_s)} of driving, and {waiting_words(what)}.",
            room=room,
        )
    word, said = missing(problem, way)
    before = before_when(who, what) if way.short_s < NEVER_S else ""
    limit = f"{who.name}’s route has no room{before}: {said}."
    making = room_made(problem, technician, calls, visit, known=known)
    return Standing(
        technician=technician,
        word=word,
        limit=limit,
        cost=room_words(problem, making),
        room=making,
    )
