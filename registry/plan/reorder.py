"""What is still open of a day that runs, as a problem of its own.

Everybody starts where they are, when they are free, with what is gone from their tanks and from
their driving. A visit on another route than before, or on none, costs a price, so that as much of
the old order stays as it is worth.
"""

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace

from registry.plan.day_extras import KEPT_FREE
from registry.plan.from_day import AtHand, second_of
from registry.plan.problem import (
    Appointed,
    Call,
    DayProblem,
    DayVisit,
    Link,
    OnDuty,
    RouteCalls,
    Window,
)
from registry.plan.running import Standing
from registry.records.day import Day, Stop
from registry.records.day_notes import DayNote, NoteKind
from registry.records.places import LonLat

MOVE_PRICE_S = 600
"""What it costs, while the day runs, to take a visit off its technician's route, whether somebody
else makes it or it waits after all; unless set. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class OpenDay:
    """What is open: a problem, and the routes as they stand, without what is fixed.

    ``standings`` tells of each technician of the problem, None = has no route yet.
    """

    problem: DayProblem
    routes: tuple[RouteCalls, ...]
    appointed: tuple[Appointed, ...]
    standings: tuple[Standing | None, ...]


def open_day(
    plan: AtHand,
    day: Day,
    standings: Sequence[Standing],
    notes: Sequence[DayNote],
    places: Sequence[LonLat],
    now_s: int,
    move_price_s: int = MOVE_PRICE_S,
) -> OpenDay:
    """Return what is open of a plan; ``places`` are what the problem's indices mean.

    Whoever stands at a place that is not among them is taken to be where the route starts.
    """
    by_id = {str(one.route.technician_id): one for one in standings}
    who_is_where = tuple(by_id.get(who.id) for who in plan.problem.technicians)
    over = _over(day, standings)
    gone = {str(one.technician_id) for one in notes if one.kind is NoteKind.GONE_HOME}
    called = any(one.kind is NoteKind.CALL for one in notes)
    kept = [
        i
        for i, visit in enumerate(plan.problem.visits)
        if visit.id not in over and not (visit.id == KEPT_FREE and _is_spent(visit, called, now_s))
    ]
    number_of = {old: new for new, old in enumerate(kept)}
    left = _open_calls(plan, who_is_where, number_of)
    routes = tuple(
        () if who.id in gone else calls
        for who, calls in zip(plan.problem.technicians, left, strict=True)
    )
    usual = {
        call.which: k for k, calls in enumerate(plan.routes) for call in calls if not call.is_fill
    }
    crew = tuple(
        _from_now(who, standing, plan.problem, places, now_s)
        for who, standing in zip(plan.problem.technicians, who_is_where, strict=True)
    )
    home = frozenset(k for k, who in enumerate(crew) if who.id in gone)
    visits = [_open_visit(plan.problem, i, over, home, usual.get(i), move_price_s) for i in kept]
    problem = replace(
        plan.problem,
        technicians=crew,
        visits=tuple(visits),
        links=_open_links(plan.problem.links, number_of),
    )
    return OpenDay(
        problem=problem,
        routes=routes,
        appointed=tuple(
            one._replace(visit=number_of[one.visit])
            for one in plan.appointed
            if one.visit in number_of
        ),
        standings=who_is_where,
    )


def unpriced(problem: DayProblem) -> DayProblem:
    """Return an open problem in which it costs nothing to move a visit or to let it wait."""
    visits = (
        replace(visit, move_price_s=0, worth_s=visit.worth_s - visit.move_price_s)
        for visit in problem.visits
    )
    return replace(problem, visits=tuple(visits))


def _over(day: Day, standings: Sequence[Standing]) -> dict[str, int]:
    """Return the stops that are done or under way, each with when it is over."""
    return {
        stop.visit_id or str(stop.site_id): max(0, one.late_s) + second_of(stop.leaves, day.on_date)
        for one in standings
        for stop in one.done
        if stop.kind != "lunch"
    }


def _is_spent(slot: DayVisit, called: bool, now_s: int) -> bool:
    """Tell whether the slot kept free was used by a call, or is too late to be of use."""
    return called or now_s > slot.windows[-1][1]


def _open_calls(
    plan: AtHand, standings: Sequence[Standing | None], number_of: Mapping[int, int]
) -> list[RouteCalls]:
    """Return the calls of each route that are not fixed; fills are matched by their order."""
    found = []
    for calls, standing in zip(plan.routes, standings, strict=True):
        done = () if standing is None else standing.done
        fills = sum(stop.kind in ("fill", "disposal") for stop in done)
        left = list[Call]()
        for call in calls:
            if call.is_fill and fills:
                fills -= 1
            elif call.is_fill:
                left.append(call)
            elif call.which in number_of:
                left.append(Call(number_of[call.which]))
        found.append(tuple(left))
    return found


def _from_now(
    who: OnDuty,
    standing: Standing | None,
    problem: DayProblem,
    places: Sequence[LonLat],
    now_s: int,
) -> OnDuty:
    """Return a technician as the rest of the day knows them."""
    if standing is None:
        return replace(who, shift_from_s=max(now_s, who.shift_from_s))
    done = standing.done
    free_s = max(standing.free_s, who.shift_from_s)
    lunch = who.lunch
    if standing.has_lunch_behind:
        lunch = None
    elif lunch is not None and lunch.to_s < free_s:
        lunch = replace(lunch, to_s=free_s)
    drive_s = round(sum(stop.drive_s for stop in done))
    work_s = drive_s + round(sum((stop.leaves - stop.starts).total_seconds() for stop in done))
    used_gal, aboard_gal = _tanks(who, done, problem)
    here = next((stop.lon_lat for stop in reversed(done) if stop.lon_lat is not None), None)
    return replace(
        who,
        start_place=places.index(here) if here in places else who.start_place,
        shift_from_s=free_s,
        lunch=lunch,
        most_drive_s=None if who.most_drive_s is None else max(0, who.most_drive_s - drive_s),
        even_s=None if who.even_s is None else max(0, who.even_s - work_s),
        water_used_gal=used_gal,
        septage_gal=aboard_gal,
    )


def _tanks(who: OnDuty, done: Sequence[Stop], problem: DayProblem) -> tuple[float, float]:
    """Return what is gone from the water tank and what septage is aboard after some stops."""
    septage = {visit.id: visit.septage_gal for visit in problem.visits}
    used_gal, aboard_gal = who.water_used_gal, who.septage_gal
    for stop in done:
        if stop.kind == "fill":
            used_gal = 0.0
        elif stop.kind == "disposal":
            aboard_gal = 0.0
        elif stop.kind == "visit":
            used_gal += stop.water_gal
            aboard_gal += septage.get(stop.visit_id or str(stop.site_id), 0.0)
    return used_gal, aboard_gal


def _open_visit(
    problem: DayProblem,
    number: int,
    over: Mapping[str, int],
    home: Collection[int],
    usual: int | None,
    move_price_s: int,
) -> DayVisit:
    """Return a visit that is open: after what it waits for, not by who went home."""
    visit = problem.visits[number]
    windows: tuple[Window, ...] = visit.windows
    for link in problem.links:
        first = problem.visits[link.first].id
        if link.then == number and not link.together and first in over:
            later = tuple((max(a, over[first]), b) for a, b in windows if b >= over[first])
            windows = later or ((windows[-1][1], windows[-1][1]),)
    held = visit.held_by
    price_s = 0 if usual is None else move_price_s
    return replace(
        visit,
        windows=windows,
        held_by=None if held in home else held,
        ruled_out=visit.ruled_out | frozenset(home),
        usual=None if usual in home else usual,
        move_price_s=price_s,
        worth_s=visit.worth_s + price_s,
    )


def _open_links(links: Sequence[Link], number_of: Mapping[int, int]) -> tuple[Link, ...]:
    """Return the links between visits that are both open."""
    return tuple(
        replace(link, first=number_of[link.first], then=number_of[link.then])
        for link in links
        if link.first in number_of and link.then in number_of
    )
