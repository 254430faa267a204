"""A question about the plan in force that keeps nothing: put, close, send, work longer.

Of a day that has begun it is asked about what is open, as ordering that again would have it.
"""

from dataclasses import dataclass, replace
from datetime import date, datetime

from registry.errors import NotFoundError
from registry.plan.check import check
from registry.plan.difference import WhatIf, difference
from registry.plan.done import kept_where_done
from registry.plan.from_day import AtHand, from_day
from registry.plan.ports import RoadEngine, RouteRepairer
from registry.plan.what_if import with_another_technician, with_more_hours, with_visit_put
from registry.records.closures import Closure
from registry.services.day_at_hand import DayAtHand, day_at_hand
from registry.services.order_rest import Begun, begun_day, open_part
from registry.services.pose_day import pose
from registry.services.why_site import visit_of_site
from registry.store import Store
from registry.units import S_PER_MIN

SEARCH_S = 0.35
"""How long an answer is searched for, unless told otherwise. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wishes:
    """What would be otherwise; technicians by name, sites by number.

    ``put`` pairs sites and technicians, ``more_min`` technicians and minutes; ``extra_like`` names
    whom one more technician is like; ``closed`` are roads closed besides. The answer is searched
    for in ``seconds`` or ``rounds``, ``SEARCH_S`` unless either is told.
    """

    put: tuple[tuple[str, str], ...] = ()
    more_min: tuple[tuple[str, int], ...] = ()
    extra_like: tuple[str, ...] = ()
    closed: tuple[Closure, ...] = ()
    seconds: float | None = None
    rounds: int | None = None


def what_if(
    store: Store,
    roads: RoadEngine,
    repairer: RouteRepairer,
    firm_id: int,
    on_date: date,
    wishes: Wishes,
    now: datetime,
) -> WhatIf:
    """Return what would be different from the plan in force; nothing is kept.

    Raises
    ------
    NotFoundError
        If the date is not planned, or a site or technician is not on it.
    RangeError
        If a technician may not make a visit.
    RoadError
        If the roads cannot be used.
    """
    if wishes.closed:
        roads.get_ready()
    at_hand = day_at_hand(store, roads, firm_id, on_date)
    with store.reading() as session:
        begun = begun_day(session, firm_id, on_date, now)
    before = open_part(at_hand, begun)
    plan = _wished(at_hand, roads, wishes, begun)
    seconds = SEARCH_S if wishes.seconds is None and wishes.rounds is None else wishes.seconds
    found = repairer.repair(
        plan.problem,
        plan.routes,
        appointed=plan.appointed,
        seconds=seconds,
        rounds=wishes.rounds,
    )
    check(plan.problem, found.routes, appointed=found.appointed, required_may_wait=True)
    told = difference(before.plan, plan.problem, found)
    return told if begun is None else replace(told, since_s=begun.at_min * S_PER_MIN)


def technician_of(plan: AtHand, name: str) -> int:
    """Return the number of a technician on duty by name.

    Raises
    ------
    NotFoundError
        If nobody of that name is on duty.
    """
    known = [who.name for who in plan.problem.technicians]
    if name not in known:
        there = ", ".join(known) or "nobody"
        raise NotFoundError(f"Nobody named {name[:40]} is on duty that day. On duty: {there}.")
    return known.index(name)


def _wished(at_hand: DayAtHand, roads: RoadEngine, wishes: Wishes, begun: Begun | None) -> AtHand:
    """Return the plan in force as a problem in which the wishes hold."""
    if wishes.closed:
        known = at_hand.posed.known
        closed = (*known.conditions.closures, *wishes.closed)
        known = replace(known, conditions=replace(known.conditions, closures=closed))
        posed = pose(known, roads)
        problem = kept_where_done(posed.problem, at_hand.day)
        at_hand = replace(at_hand, posed=posed, plan=from_day(at_hand.day, problem))
    at_hand = open_part(at_hand, begun)
    plan = at_hand.plan
    for name, more_min in wishes.more_min:
        plan = with_more_hours(plan, technician_of(plan, name), more_min * 60)
    for like in wishes.extra_like:
        plan = with_another_technician(plan, technician_of(plan, like))
    for site, name in wishes.put:
        visit = visit_of_site(replace(at_hand, plan=plan), site)
        if visit is None:
            raise NotFoundError(f"Site {site[:40]} has no visit that day that could be put.")
        plan = with_visit_put(plan, visit, technician_of(plan, name))
    return plan
