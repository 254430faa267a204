"""Keeping a day that was changed by hand, as a version of its own."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from registry.plan.by_hand import route_by_hand
from registry.plan.check import breaches, totals_of
from registry.plan.moves import Routes, see_routes
from registry.plan.ports import RoadEngine
from registry.plan.problem import DayProblem
from registry.plan.stops import waiting_of
from registry.plan.why import why_waiting
from registry.records.changes import Viewer
from registry.records.day import Day, Route
from registry.records.day_versions import MadeHow
from registry.records.visits import Hold
from registry.services.change_day import Names, open_day, routes_named
from registry.services.day_at_hand import DayAtHand
from registry.services.pose_day import lines_of, with_all_waiting
from registry.store import Session, Store, days
from registry.store.day_versions import require_in_force


@dataclass(frozen=True, slots=True, kw_only=True)
class ToKeep:
    """A changed day that is to be kept, made from version ``made_from``.

    ``lifted`` names the stops that were taken hold of: they are held to whoever has them now.
    ``although`` keeps the day although it breaks something.
    """

    made_from: int
    names: Names
    lifted: Sequence[str] = ()
    although: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What became of a change: the day as it was kept, None = not; and what it breaks, in words."""

    day: Day | None
    breaks: tuple[str, ...]


def keep_change(
    store: Store,
    roads: RoadEngine,
    viewer: Viewer,
    on_date: date,
    wanted: ToKeep,
    now: datetime,
) -> Outcome:
    """Keep a changed day as the version in force, and hold the visits that were moved.

    The problem is made anew from today's records and judged by the independent check. A day that
    breaks limits is kept only if that is said to be meant.

    Raises
    ------
    AccessError
        If the role may not order days.
    ConflictError
        If another version is in force meanwhile; says what changed.
    RangeError
        If the routes are not routes of this day.
    """
    hand = open_day(store, roads, viewer, on_date)
    firm_id = hand.day.firm_id
    if hand.day.number != wanted.made_from:
        with store.session() as session:
            require_in_force(session, firm_id, on_date, wanted.made_from)
    problem = hand.plan.fixed
    routes = routes_named(problem, wanted.names)
    found = tuple(one.text for one in breaches(problem, routes))
    if found and not wanted.although:
        return Outcome(day=None, breaks=found)
    day = _told(hand, routes, wanted.lifted, found)
    with store.session() as session:
        kept = days.save_day(
            session,
            day,
            made_by=viewer.name,
            now=now,
            made_from=wanted.made_from,
            made_how=MadeHow.BY_HAND,
            note=_note(found),
        )
        for hold in _holds(session, hand, routes, wanted.lifted, viewer):
            days.put_hold(session, firm_id, hold, now)
    return Outcome(day=kept, breaks=found)


def _note(found: Sequence[str]) -> str:
    return "Kept although: " + " ".join(found) if found else ""


def _told(hand: DayAtHand, routes: Routes, lifted: Sequence[str], found: Sequence[str]) -> Day:
    """Return a changed day as it is kept: the moved visits held, what gives way marked."""
    problem = _held_as_moved(hand.plan.fixed, routes, lifted)
    seen = [one for one in see_routes(problem, routes, range(len(routes))) if one.calls]
    records, line_of = hand.posed.records, lines_of(hand.posed)
    waits = (waiting_of(problem, out, records) for out in why_waiting(problem, routes))
    day = Day(
        on_date=hand.day.on_date,
        firm_id=hand.day.firm_id,
        routes=tuple(route_by_hand(problem, one, records, line_of) for one in seen),
        waiting=tuple(one for one in waits if one is not None),
        cost=float(totals_of(problem, routes).cost),
        roads=records.roads,
        engine=f"hand, from plan {hand.day.number}",
        notes=(*problem.notes, *([_note(found)] if found else [])),
    )
    day = replace(day, routes=tuple(_pinned(route, lifted) for route in day.routes))
    return with_all_waiting(day, hand.posed)


def _pinned(route: Route, lifted: Sequence[str]) -> Route:
    stops = (replace(one, held=one.held or one.visit_id in lifted) for one in route.stops)
    return replace(route, stops=tuple(stops))


def _held_as_moved(problem: DayProblem, routes: Routes, lifted: Sequence[str]) -> DayProblem:
    """Return a day on which moved visits are held to whoever has them now."""
    has = {call.which: k for k, calls in enumerate(routes) for call in calls if not call.is_fill}
    visits = [
        replace(one, held_by=has[i]) if one.id in lifted and i in has else one
        for i, one in enumerate(problem.visits)
    ]
    return replace(problem, visits=tuple(visits))


def _holds(
    session: Session, hand: DayAtHand, routes: Routes, lifted: Sequence[str], viewer: Viewer
) -> list[Hold]:
    """Return the holds of moved visits; what was promised to an owner stays promised."""
    problem, on_date = hand.plan.problem, hand.day.on_date
    before = {one.site_id: one for one in days.holds_on(session, hand.day.firm_id, on_date)}
    found = []
    for who, calls in zip(problem.technicians, routes, strict=True):
        for call in calls:
            id_ = "" if call.is_fill else problem.visits[call.which].id
            visit = hand.posed.records.visits.get(id_)
            if visit is None or id_ not in lifted:
                continue
            hold = before.get(visit.site_id, Hold(site_id=visit.site_id, on_date=on_date))
            found.append(replace(hold, technician_id=int(who.id), held_by=viewer.name))
    return found
