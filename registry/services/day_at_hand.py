"""The plan in force on a date, as a problem and routes that can be asked about and changed."""

from dataclasses import dataclass, replace
from datetime import date

from registry.errors import NotFoundError
from registry.plan.done import kept_where_done, with_made_visits
from registry.plan.from_day import AtHand, from_day
from registry.plan.from_records import is_on_duty
from registry.plan.gaps import Clocks
from registry.plan.ports import RoadEngine
from registry.records.day import Day
from registry.services.day_input import DayInput, day_input
from registry.services.done_stops import told_done
from registry.services.pose_day import Posed, pose
from registry.store import Store, days


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayAtHand:
    """A kept day and the problem that its date is now; ``day.number`` is the version.

    ``known`` is what was found out about the problem whose linked visits keep their windows.
    """

    day: Day
    posed: Posed
    plan: AtHand
    known: Clocks


def day_at_hand(store: Store, roads: RoadEngine, firm_id: int, on_date: date) -> DayAtHand:
    """Return the plan in force with the problem of its date, made from today's records.

    A visit that is done stays where it was made, although nothing is due there any more.
    The road engine's tables are kept by their content, so that a second question is quick.

    Raises
    ------
    NotFoundError
        If the date is not planned.
    RoadError
        If the roads cannot be used.
    """
    with store.reading() as session:
        day = days.day_of(session, firm_id, on_date)
        if day is None:
            raise NotFoundError(f"{on_date.isoformat()} is not ordered yet. Order the day first.")
        day = told_done(session, day)
        known = day_input(session, firm_id, on_date, day.horizon_days)
    return at_hand_of(day, known, roads)


def at_hand_of(day: Day, known: DayInput, roads: RoadEngine) -> DayAtHand:
    """Return a plan, whose stops say whether they are done, with the problem of its date.

    Raises
    ------
    RoadError
        If the roads cannot be used.
    """
    on_duty = {who.id for who in known.crew if is_on_duty(who, day.on_date)}
    known = replace(known, visits=with_made_visits(day, known.visits, on_duty))
    stood = {one.lon_lat for route in day.routes for one in route.stops if one.lon_lat}
    stood -= {one.lon_lat for one in known.visits}
    posed = pose(replace(known, besides=tuple(sorted(stood))), roads)
    posed = replace(posed, problem=kept_where_done(posed.problem, day))
    plan = from_day(day, posed.problem)
    return DayAtHand(day=day, posed=posed, plan=plan, known=Clocks(plan.fixed))
