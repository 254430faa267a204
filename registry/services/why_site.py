"""Why one site's visit waits, or why it is where it is, on the plan in force."""

from dataclasses import dataclass
from datetime import date, datetime

from registry.errors import NotFoundError
from registry.plan.ports import RoadEngine
from registry.plan.problem import Call
from registry.plan.why_each import why_each
from registry.plan.why_there import why_there
from registry.services.day_at_hand import DayAtHand, day_at_hand
from registry.services.order_rest import begun_day, open_part
from registry.store import Store


@dataclass(frozen=True, slots=True, kw_only=True)
class ForTechnician:
    """What one technician is told about a visit; ``price_s`` None = it cannot be there. [s]."""

    technician: str
    word: str
    limit: str
    cost: str = ""
    out: tuple[str, ...] = ()
    drive_s: int | None = None
    price_s: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WhySite:
    """An answer about one site's visit.

    ``technician`` is who makes it, empty where it waits. ``slack_s`` is how much later its work may
    start, ``saves_s`` what its route would cost less without it; both None where it waits. [s]
    """

    site: str
    place: str
    said: str
    technician: str = ""
    slack_s: int | None = None
    saves_s: int | None = None
    each: tuple[ForTechnician, ...] = ()


def why_site(
    store: Store, roads: RoadEngine, firm_id: int, on_date: date, site: str, now: datetime
) -> WhySite:
    """Return why a site's visit is where it is on the plan in force.

    Of a day that has begun only what is open is asked about, from where everybody is.

    Raises
    ------
    NotFoundError
        If the date is not planned, or the site has no visit on it.
    PlanError
        If the route that the visit is on does not keep its hours any more.
    """
    at_hand = day_at_hand(store, roads, firm_id, on_date)
    with store.reading() as session:
        at_hand = open_part(at_hand, begun_day(session, firm_id, on_date, now))
    key = site.strip()
    visit = visit_of_site(at_hand, key)
    if visit is None and (behind := _behind(at_hand, key)) is not None:
        return behind
    if visit is None:
        waiting = next((one for one in at_hand.day.waiting if one.site == key), None)
        if waiting is None:
            raise NotFoundError(f"Site {key[:40]} has no visit on {on_date.isoformat()}.")
        return WhySite(site=key, place=waiting.place, said=waiting.why)
    if any(Call(visit) in calls for calls in at_hand.plan.routes):
        return _there(at_hand, key, visit)
    return _waits(at_hand, key, visit)


def _behind(at_hand: DayAtHand, site: str) -> WhySite | None:
    """Return what is to be said of a stop that is done or under way, None if there is none."""
    for route in at_hand.day.routes:
        for stop in route.visits:
            if stop.site == site:
                hours = f"{stop.starts:%H:%M}–{stop.leaves:%H:%M}"
                state = stop.done or f"under way or behind, {hours} by the plan"
                said = f"It is {state}: it stays with {route.technician}."
                return WhySite(site=site, place=stop.place, said=said, technician=route.technician)
    return None


def visit_of_site(at_hand: DayAtHand, site: str) -> int | None:
    """Return the number of a site's visit in the problem, by the site's number."""
    ids = {str(one.site_id) for one in at_hand.posed.known.visits if one.site_key == site}
    visits = at_hand.plan.problem.visits
    return next((i for i, visit in enumerate(visits) if visit.id in ids), None)


def _there(at_hand: DayAtHand, site: str, visit: int) -> WhySite:
    problem = at_hand.plan.fixed
    there = why_there(problem, at_hand.plan.routes, visit)
    return WhySite(
        site=site,
        place=problem.visits[visit].name,
        said=there.said,
        technician=problem.technicians[there.technician].name,
        slack_s=there.slack_s,
        saves_s=there.saves_s,
        each=tuple(
            ForTechnician(
                technician=problem.technicians[one.technician].name,
                word="fits" if one.price_s is not None else "does_not_fit",
                limit=one.said,
                price_s=one.price_s,
            )
            for one in there.elsewhere
        ),
    )


def _waits(at_hand: DayAtHand, site: str, visit: int) -> WhySite:
    problem, routes = at_hand.plan.fixed, at_hand.plan.routes
    number = problem.visits[visit].id
    kept = {str(one.site_id): one.why for one in at_hand.day.waiting}
    return WhySite(
        site=site,
        place=problem.visits[visit].name,
        said=kept.get(number, "It came due after the day was ordered."),
        each=tuple(
            ForTechnician(
                technician=problem.technicians[one.technician].name,
                word=one.word,
                limit=one.limit,
                cost=one.cost,
                out=tuple(problem.visits[i].name for i in one.room.out) if one.room else (),
                drive_s=one.room.added_s if one.room else None,
                price_s=one.room.price_s if one.room else None,
            )
            for one in why_each(problem, routes, visit)
        ),
    )
