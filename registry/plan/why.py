"""Why a visit waits, in a sentence that a person can act on.

For each visit on no route: who may make it at all, how far each of their routes is from having
room, and what making room would cost. ``registry.plan.why_each`` tells it for every technician.
"""

from collections.abc import Sequence

from registry.plan.clash import clash_of, clash_words
from registry.plan.clock import legs_of
from registry.plan.gaps import Clocks
from registry.plan.prices import instead_words, waiting_words
from registry.plan.problem import (
    ANYWHERE,
    UNREACHABLE_S,
    DayProblem,
    DayVisit,
    LeftOut,
    RouteCalls,
    places_of,
)
from registry.plan.road_hours import least_s
from registry.plan.room_made import room_made
from registry.plan.say import clock, listed, minutes
from registry.plan.shortfall import NEVER_S
from registry.plan.ways import Way, best_way
from registry.plan.why_able import nobody_able
from registry.plan.why_links import linked
from registry.plan.why_short import before_when, missing
from registry.plan.words import WhyWord

MOST_ROUTES_ASKED = 4
"""Routes looked at per visit, those that pass nearest first; keeps big days quick."""
MOST_NAMES = 3
"""Technicians named in one sentence; more are counted."""


def why_waiting(problem: DayProblem, routes: Sequence[RouteCalls]) -> tuple[LeftOut, ...]:
    """Return for each visit on no route the word and the sentence that say why.

    First the visits that no solver was asked about, then the others in the order of the problem.
    """
    made = {call.which for calls in routes for call in calls if not call.is_fill}
    known = Clocks(problem)
    return problem.left_out + tuple(
        why_not(problem, routes, visit, known)
        for visit in range(len(problem.visits))
        if visit not in made
    )


def why_not(
    problem: DayProblem,
    routes: Sequence[RouteCalls],
    visit: int,
    known: Clocks | None = None,
) -> LeftOut:
    """Return why one visit is on no route; ``known`` is what was found out about the day before."""
    seen = linked(problem, tuple(routes), visit)
    id_ = problem.visits[visit].id
    if seen.blocked:
        return LeftOut(id=id_, why_word=WhyWord.LINKED, why=seen.blocked)
    if known is None or known.problem is not seen.problem:
        known = Clocks(seen.problem)
    word, text = _why(known, routes, visit)
    if seen.partner and word in (WhyWord.NO_ROOM, WhyWord.OTHERS):
        text = (
            f"Made together with {seen.partner} by two technicians, who must be there at the same"
            f" moment. {text}"
        )
        return LeftOut(id=id_, why_word=WhyWord.LINKED, why=text)
    text = f"{seen.lead} {text}".strip()
    clash = clash_of(problem, routes, visit) if problem.visits[visit].required else None
    if clash is not None and len(clash) > 1:
        text += f" {clash_words(problem, clash)}"
    return LeftOut(id=id_, why_word=word, why=text)


def _why(known: Clocks, routes: Sequence[RouteCalls], visit: int) -> tuple[WhyWord, str]:
    """Return why a visit that nothing else stands before is on no route."""
    problem = known.problem
    what = problem.visits[visit]
    able = [k for k in range(len(problem.technicians)) if problem.may_make(k, visit)]
    if not able:
        return nobody_able(problem, visit)
    alone = [best_way(problem, k, (), visit, known) for k in able]
    if not any(way.fits for way in alone):
        return _never_fits(problem, visit, alone)
    asked = sorted(
        (way.technician for way in alone if way.fits),
        key=lambda k: nearest_s(problem, k, routes[k], what.place),
    )[:MOST_ROUTES_ASKED]
    ways = [best_way(problem, k, routes[k], visit, known) for k in asked]
    if any(way.fits for way in ways):
        way = min((way for way in ways if way.fits), key=lambda way: way.added_s)
        only = len(able) < len(problem.technicians)
        return WhyWord.OTHERS, _not_worth_it(problem, what, way, only)
    nearest = min(ways, key=lambda way: (way.short_s, way.added_s))
    text = _no_room(problem, what, nearest, able, len(ways))
    rooms = [room_made(problem, k, routes[k], visit, 1, known) for k in asked]
    if made := [one for one in rooms if one is not None]:
        best = min(made, key=lambda one: one.price_s)
        text += f" {instead_words(problem, best)}"
    return WhyWord.NO_ROOM, text


def _never_fits(problem: DayProblem, visit: int, alone: Sequence[Way]) -> tuple[WhyWord, str]:
    """Say why a visit does not fit even on a route of its own."""
    what = problem.visits[visit]
    nearest = min(alone, key=lambda way: way.short_s)
    who = problem.technicians[nearest.technician]
    word, said = missing(problem, nearest)
    if word == WhyWord.UNREACHABLE:
        cut_off = what.place != ANYWHERE and all(
            least_s(problem, who.table, who.start_place, what.place) >= UNREACHABLE_S
            for who in (problem.technicians[way.technician] for way in alone)
        )
        way = "No road leads there" if cut_off else "No road leads back from there"
        if _only_for_trucks(problem, what, alone):
            way = f"No road that the truck of {who.name} may take leads there and back"
            return word, f"{way}: it is too heavy or too high for a bridge or road on the way."
        names = listed([problem.technicians[way.technician].name for way in alone])
        return word, f"{way} from where {names} start."
    if word != WhyWord.NO_ROOM:
        return word, f"Even with nothing else to do for {who.name}, {said}."
    windows = listed([f"{clock(opens)}–{clock(closes)}" for opens, closes in what.windows])
    return WhyWord.HOURS, (
        f"Work may start {windows}, and that does not fit the hours of those who could go: even"
        f" with nothing else to do {who.name} would be {minutes(nearest.short_s)} short."
        f"{_hours_of_roads(problem, nearest)}"
    )


def _hours_of_roads(problem: DayProblem, way: Way) -> str:
    """Say which roads on the way are closed for hours, nothing if none is."""
    legs = legs_of(problem, way.technician, way.calls)
    names = {name for leg in legs for one in leg.ways for name in (*one.opens, *one.closes)}
    return f" Closed for hours on the way: {listed(sorted(names))}." if names else ""


def _only_for_trucks(problem: DayProblem, what: DayVisit, alone: Sequence[Way]) -> bool:
    """Tell whether a lighter truck would get there."""
    if what.place == ANYWHERE:
        return False
    return all(
        problem.technicians[way.technician].table
        and least_s(problem, 0, problem.technicians[way.technician].start_place, what.place)
        < UNREACHABLE_S
        for way in alone
    )


def _not_worth_it(problem: DayProblem, what: DayVisit, way: Way, only: bool) -> str:
    """Say what putting a visit on the best route would cost, against what it is worth."""
    who = problem.technicians[way.technician].name
    start = f"{_lead(problem, what)} " if only else ""
    return (
        f"{start}Others were worth more: on {who}’s route it would add {minutes(way.added_s)} of"
        f" driving, and {waiting_words(what)}."
    ).strip()


def _no_room(
    problem: DayProblem, what: DayVisit, nearest: Way, able: Sequence[int], asked: int
) -> str:
    """Say how far the nearest route is from having room."""
    who = problem.technicians[nearest.technician]
    lead = _lead(problem, what)
    short = missing(problem, nearest)[1]
    before = before_when(who, what) if nearest.short_s < NEVER_S else ""
    if len(able) == 1:
        return (
            f"{lead} Only {who.name} can go, and that route has no room{before}: {short}.".strip()
        )
    routes = "No route has" if asked == len(able) else f"None of the {asked} routes nearby has"
    return f"{lead} {routes} room{before}; {who.name}’s comes nearest: {short}.".strip()


def nearest_s(problem: DayProblem, k: int, calls: RouteCalls, place: int) -> int:
    """Return how many seconds of driving lie between a route and a place, at the least."""
    if place == ANYWHERE:
        return 0
    table = problem.technicians[k].table
    return min(least_s(problem, table, stop, place) for stop in places_of(problem, k, calls)[:-1])


def _lead(problem: DayProblem, what: DayVisit) -> str:
    """Say who may make a visit at all, where not everybody may."""
    if what.held_by is not None:
        return f"Held to {problem.technicians[what.held_by].name}."
    crew = problem.technicians
    out = [who.name for k, who in enumerate(crew) if k in what.ruled_out]
    barred = f"{listed(out)} {'is' if len(out) == 1 else 'are'} ruled out for it." if out else ""
    rare = sorted(word for word in what.skills if any(word not in who.skills for who in crew))
    if not rare:
        return barred
    able = [who.name for who in crew if what.skills <= who.skills]
    if len(able) > MOST_NAMES:
        needs = f"Needs {listed(rare)}, which {len(able)} of {len(crew)} on duty have."
    else:
        has = "has" if len(able) == 1 else "have"
        needs = f"Needs {listed(rare)}, which only {listed(able)} {has}."
    return f"{needs} {barred}".strip()
