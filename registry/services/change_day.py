"""Changing a kept day by hand: what a change comes to, where else a visit could go, keeping it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date

from registry.errors import RangeError
from registry.plan.by_hand import route_by_hand
from registry.plan.day_extras import SECOND_PERSON
from registry.plan.done import done_like
from registry.plan.moves import (
    At,
    Edit,
    Routes,
    RouteSeen,
    Tried,
    edited,
    refuse_unknown,
    see_routes,
    try_routes,
)
from registry.plan.ports import RoadEngine
from registry.plan.problem import Call, DayProblem
from registry.plan.where_else import Place, where_else
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.day import Day, Route
from registry.services.day_at_hand import DayAtHand, day_at_hand
from registry.services.see_day import firm_of
from registry.store import Store

ACT = "order the day"

type Names = Sequence[Sequence[str]]
"""The stops of each technician in the order of the day's problem, each by its name."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Changed:
    """A day as it would be after a change; nothing is kept.

    ``waiting`` counts the visits on no route. ``tried`` is measured against the kept plan, ``step``
    against the routes before this change.
    """

    routes: Routes
    day: Day
    waiting: int
    seen: tuple[RouteSeen, ...]
    tried: Tried
    step: Tried


def open_day(store: Store, roads: RoadEngine, viewer: Viewer, on_date: date) -> DayAtHand:
    """Return the plan in force on a date, ready to be changed.

    Raises
    ------
    AccessError
        If the role may not order days.
    NotFoundError
        If the date is not planned.
    """
    require(viewer, ACT)
    with store.reading() as session:
        firm_id = firm_of(session, viewer)
    return day_at_hand(store, roads, firm_id, on_date)


def done_words(hand: DayAtHand) -> dict[str, str]:
    """Return the stops that are done, by name, with the words that say so."""
    return {
        stop.visit_id or str(stop.site_id): stop.done
        for route in hand.day.routes
        for stop in route.visits
        if stop.done
    }


def name_of(problem: DayProblem, call: Call) -> str:
    """Return the name by which a page and this service mean the same stop."""
    return f"fill:{problem.fills[call.which].id}" if call.is_fill else problem.visits[call.which].id


def call_named(problem: DayProblem, name: str) -> Call:
    """Return the stop of a name.

    Raises
    ------
    RangeError
        If the day has no such stop.
    """
    for which, fill in enumerate(problem.fills):
        if name == f"fill:{fill.id}":
            return Call(which, is_fill=True)
    for which, visit in enumerate(problem.visits):
        if name == visit.id:
            return Call(which)
    raise RangeError(f"This day has no stop “{name[:40]}”. Load the page again.")


def routes_named(problem: DayProblem, names: Names) -> Routes:
    """Return the routes that a page names.

    Raises
    ------
    RangeError
        If they are not routes of this day.
    """
    known = {visit.id: Call(i) for i, visit in enumerate(problem.visits)}
    known |= {f"fill:{one.id}": Call(i, is_fill=True) for i, one in enumerate(problem.fills)}
    if any(name not in known for route in names for name in route):
        raise RangeError("The routes are not as this page knows them. Load the page again.")
    routes = tuple(tuple(known[name] for name in route) for route in names)
    refuse_unknown(problem, routes)
    return routes


def see_change(hand: DayAtHand, before: Routes, edit: Edit | None) -> Changed:
    """Return the day after a change, breaches and all.

    Raises
    ------
    RangeError
        If the change does not fit the routes, or moves a visit that is done.
    """
    known, kept = hand.known, hand.plan.routes
    problem = known.problem
    if edit is not None and name_of(problem, edit.call) in done_words(hand):
        raise RangeError("That visit is done: it stays where it was made.")
    after = before if edit is None else edited(before, edit)
    seen = see_routes(problem, after, range(len(after)), known)
    day = replace(
        hand.day,
        routes=tuple(_told(hand, one) for one in seen if one.calls),
        gap=None,
    )
    return Changed(
        routes=after,
        day=day,
        waiting=len(hand.day.waiting) + _made(problem, kept) - _made(problem, after),
        seen=seen,
        tried=try_routes(problem, kept, after, known),
        step=try_routes(problem, before, after, known),
    )


def _told(hand: DayAtHand, seen: RouteSeen) -> Route:
    """Return a route as it is told, which is made once."""
    key = _told, seen.technician, seen.calls, seen.broken
    problem, records = hand.known.problem, hand.posed.records
    return hand.known.kept(key, lambda: done_like(route_by_hand(problem, seen, records), hand.day))


def _made(problem: DayProblem, routes: Routes) -> int:
    """Return how many sites are visited: two people at one count once."""
    made = [problem.visits[call.which].id for calls in routes for call in calls if not call.is_fill]
    return sum(not one.endswith(SECOND_PERSON) for one in made)


def places_for(hand: DayAtHand, routes: Routes, name: str, at: At | None) -> tuple[Place, ...]:
    """Return every place where a stop could go, and what each costs.

    Raises
    ------
    RangeError
        If the stop is not where the page says.
    """
    problem = hand.known.problem
    return where_else(problem, routes, call_named(problem, name), at, hand.known)
