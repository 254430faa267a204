"""Why a visit waits, in a sentence that a person can act on.

For each visit on no route: who may make it at all, how far each of their routes is from having
room, and what making room would cost.
"""

from collections.abc import Sequence

from registry.plan.problem import (
    UNREACHABLE_S,
    WATER_SLACK_GAL,
    DayProblem,
    DayVisit,
    LeftOut,
    OnDuty,
    RouteCalls,
    drive_of,
    places_of,
)
from registry.plan.shortfall import NEVER_S, Way, best_way
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
    return problem.left_out + tuple(
        why_not(problem, routes, visit) for visit in range(len(problem.visits)) if visit not in made
    )


def why_not(problem: DayProblem, routes: Sequence[RouteCalls], visit: int) -> LeftOut:
    """Return why one visit is on no route."""
    what = problem.visits[visit]
    able = [k for k in range(len(problem.technicians)) if problem.may_make(k, visit)]
    if not able:
        word, text = _nobody_able(problem, visit)
        return LeftOut(id=what.id, why_word=word, why=text)
    alone = [best_way(problem, k, (), visit) for k in able]
    if not any(way.fits for way in alone):
        word, text = _never_fits(problem, visit, alone)
        return LeftOut(id=what.id, why_word=word, why=text)
    asked = sorted(
        (way.technician for way in alone if way.fits),
        key=lambda k: _nearest_s(problem, k, routes[k], what.place),
    )[:MOST_ROUTES_ASKED]
    ways = [best_way(problem, k, routes[k], visit) for k in asked]
    only = len(able) < len(problem.technicians)
    if any(way.fits for way in ways):
        way = min((way for way in ways if way.fits), key=lambda way: way.added_s)
        return LeftOut(
            id=what.id, why_word=WhyWord.OTHERS, why=_not_worth_it(problem, what, way, only)
        )
    nearest = min(ways, key=lambda way: (way.short_s, way.added_s))
    text = _no_room(problem, what, nearest, able, len(ways))
    if (room := _room_made(problem, routes, asked, visit)) is not None:
        text += " " + room
    return LeftOut(id=what.id, why_word=WhyWord.NO_ROOM, why=text)


def _nobody_able(problem: DayProblem, visit: int) -> tuple[WhyWord, str]:
    """Say what everybody lacks."""
    what = problem.visits[visit]
    if what.held_by is not None:
        who = problem.technicians[what.held_by]
        return WhyWord.HELD, f"Held to {who.name}, who {_lack(who, what)}."
    needs = _listed(sorted(what.skills))
    skilled = [who for who in problem.technicians if what.skills <= who.skills]
    if not skilled:
        licence = any("licence" in word for word in what.skills)
        lapsed = [
            f"{who.name}’s {word} ended on {ended.isoformat()}"
            if ended
            else f"{who.name}’s {word} is not valid yet"
            for who in problem.technicians
            for word, ended in who.lapsed
            if word in what.skills
        ]
        text = f"Needs {needs}: nobody on duty has {'both' if len(what.skills) == 2 else 'that'}"
        if len(what.skills) > 2:
            text = f"Needs {needs}: nobody on duty has all of that"
        text += f" ({'; '.join(lapsed)})." if lapsed else "."
        return (WhyWord.LICENCE if licence else WhyWord.SKILL), text
    dry = [who for who in skilled if what.people <= who.people and who.tank_gal is not None]
    largest = max((who.tank_gal for who in dry if who.tank_gal is not None), default=0.0)
    if what.water_gal > largest + WATER_SLACK_GAL and dry:
        text = (
            f"Needs {what.water_gal:.0f} gal of water brought along; the largest tank of those who"
            f" could go holds {largest:.0f} gal."
        )
        return WhyWord.WATER, text
    text = f"Needs {what.people} people there at once; those who could go come alone."
    return WhyWord.NEEDS_TWO, text


def _lack(who: OnDuty, what: DayVisit) -> str:
    """Say what one technician lacks for a visit."""
    if lacking := what.skills - who.skills:
        return f"lacks {_listed(sorted(lacking))}"
    if what.people > who.people:
        return "comes alone where two are needed"
    return "has too small a tank for the water it takes"


def _never_fits(problem: DayProblem, visit: int, alone: Sequence[Way]) -> tuple[WhyWord, str]:
    """Say why a visit does not fit even on a route of its own."""
    what = problem.visits[visit]
    nearest = min(alone, key=lambda way: way.short_s)
    who = problem.technicians[nearest.technician]
    if nearest.short_s >= NEVER_S:
        cut_off = all(
            problem.travel_of(way.technician).travel_s[
                problem.technicians[way.technician].start_place, what.place
            ]
            >= UNREACHABLE_S
            for way in alone
        )
        way = "No road leads there" if cut_off else "No road leads back from there"
        return WhyWord.UNREACHABLE, f"{way} from where {_names(problem, alone)} start."
    windows = _listed([f"{_clock(opens)}–{_clock(closes)}" for opens, closes in what.windows])
    text = (
        f"Work may start {windows}, and that does not fit the hours of those who could go: even"
        f" with nothing else to do {who.name} would be {_minutes(nearest.short_s)} short."
    )
    return WhyWord.HOURS, text


def _not_worth_it(problem: DayProblem, what: DayVisit, way: Way, only: bool) -> str:
    """Say what putting a visit on the best route would cost, against what it is worth."""
    who = problem.technicians[way.technician].name
    start = f"{_lead(problem, what)} " if only else ""
    return (
        f"{start}Others were worth more: on {who}’s route it would add {_minutes(way.added_s)} of"
        f" driving, and waiting costs {_minutes(what.worth_s)}."
    )


def _no_room(
    problem: DayProblem, what: DayVisit, nearest: Way, able: Sequence[int], asked: int
) -> str:
    """Say how far the nearest route is from having room."""
    who = problem.technicians[nearest.technician].name
    lead = _lead(problem, what)
    if nearest.short_s >= NEVER_S:
        missing = "the tank would not last, and no fill stop helps"
    else:
        missing = f"it is {_minutes(nearest.short_s)} short"
    if len(able) == 1:
        return f"{lead} Only {who} can go, and that route has no room: {missing}.".strip()
    routes = "No route has" if asked == len(able) else f"None of the {asked} routes nearby has"
    return f"{lead} {routes} room; {who}’s comes nearest: {missing}.".strip()


def _room_made(
    problem: DayProblem, routes: Sequence[RouteCalls], asked: Sequence[int], visit: int
) -> str | None:
    """Say which one visit would have to wait instead, at the least cost; None if none would do."""
    what = problem.visits[visit]
    best: tuple[int, int, int] | None = None
    for k in asked:
        before_s = drive_of(problem, k, routes[k])[0]
        for at, call in enumerate(routes[k]):
            if call.is_fill or problem.visits[call.which].required:
                continue
            way = best_way(problem, k, (*routes[k][:at], *routes[k][at + 1 :]), visit)
            if not way.fits:
                continue
            other = problem.visits[call.which]
            more_s = drive_of(problem, k, way.calls)[0] - before_s + other.worth_s - what.worth_s
            if best is None or more_s < best[0]:
                best = (more_s, call.which, k)
    if best is None:
        return None
    other, who = problem.visits[best[1]], problem.technicians[best[2]]
    price = f"{_minutes(best[0])} more" if best[0] > 0 else "nothing"
    return f"Put on {who.name}’s route instead of {other.name}, it would cost the day {price}."


def _nearest_s(problem: DayProblem, k: int, calls: RouteCalls, place: int) -> int:
    """Return how many seconds of driving lie between a route and a place, at the least."""
    travel_s = problem.travel_of(k).travel_s
    return min(int(travel_s[stop, place]) for stop in places_of(problem, k, calls)[:-1])


def _lead(problem: DayProblem, what: DayVisit) -> str:
    """Say who may make a visit at all, where not everybody may."""
    if what.held_by is not None:
        return f"Held to {problem.technicians[what.held_by].name}."
    crew = problem.technicians
    rare = sorted(word for word in what.skills if any(word not in who.skills for who in crew))
    if not rare:
        return ""
    able = [who.name for who in crew if what.skills <= who.skills]
    if len(able) > MOST_NAMES:
        return f"Needs {_listed(rare)}, which {len(able)} of {len(crew)} on duty have."
    return (
        f"Needs {_listed(rare)}, which only {_listed(able)} {'has' if len(able) == 1 else 'have'}."
    )


def _names(problem: DayProblem, ways: Sequence[Way]) -> str:
    return _listed([problem.technicians[way.technician].name for way in ways])


def _listed(words: Sequence[str]) -> str:
    """Return words as a list for people."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]


def _minutes(seconds: int) -> str:
    """Return seconds as whole minutes, rounded up."""
    minutes = -(-seconds // 60)
    if minutes < 120:
        return f"{minutes} min"
    return f"{minutes // 60} h {minutes % 60:02d} min"


def _clock(moment_s: int) -> str:
    return f"{moment_s // 3600:02d}:{moment_s // 60 % 60:02d}"
