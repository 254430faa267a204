"""What a date is planned from, read from the store."""

from dataclasses import dataclass, field
from datetime import date

from registry.plan.day_extras import DayExtras
from registry.records.crew import FillPoint, Technician
from registry.records.places import Firm, LonLat
from registry.records.roads import RoadConditions
from registry.records.visits import DueVisit
from registry.services.closures import closures_of_day
from registry.services.due_visits import due_visits
from registry.services.forecast_roads import WaterAsked, roads_by_water
from registry.store import Session, closures, crew, days, dispatch, names, places
from registry.store.road_speeds import road_speeds

MOST_VISITS = 600
"""Visits offered to the solver at most: far more than a firm makes a day, and a table of travel
times that is still quick. Those that are worth most are taken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayInput:
    """What a date is planned from.

    ``conditions`` are the closed roads to drive around and the firm's own speeds; ``notes`` are
    sentences about them for the plan. ``besides`` are places where somebody may stand, beside
    those that the visits name.
    """

    firm_id: int
    on_date: date
    zone: str
    yard: LonLat | None
    visits: tuple[DueVisit, ...]
    crew: tuple[Technician, ...]
    fills: tuple[FillPoint, ...]
    extras: DayExtras = field(default_factory=lambda: DayExtras(firm=Firm(name="")))
    conditions: RoadConditions = field(default_factory=RoadConditions)
    horizon_days: int | None = None
    besides: tuple[LonLat, ...] = ()
    notes: tuple[str, ...] = ()


def day_input(
    session: Session,
    firm_id: int,
    on_date: date,
    horizon_days: int | None = None,
    water: WaterAsked | None = None,
) -> DayInput:
    """Return what a date is planned from; ``horizon_days`` None = as each rule says.

    ``water`` is what one plan reckons with; None = the forecast, where the firm heeds it.
    """
    people = tuple(crew.technicians(session, firm_id))
    firm, zone = places.firm(session, firm_id), names.zone_of_firm(session, firm_id)
    by_water = roads_by_water(session, firm_id, on_date, water)
    known = [*closures.closures(session, firm_id), *by_water.closures]
    closed = closures_of_day(known, people, on_date)
    return DayInput(
        firm_id=firm_id,
        on_date=on_date,
        zone=zone,
        yard=firm.yard,
        visits=tuple(due_visits(session, firm_id, on_date, horizon_days, MOST_VISITS)),
        crew=people,
        fills=tuple(crew.fill_points(session, firm_id)),
        extras=DayExtras(
            firm=firm,
            zone=zone,
            disposal_sites=tuple(crew.disposal_sites(session)),
            rule_outs=tuple(dispatch.RULE_OUTS.on(session, firm_id, on_date)),
            links=tuple(dispatch.LINKS.on(session, firm_id, on_date)),
            errands=tuple(dispatch.ERRANDS.on(session, firm_id, on_date)),
            promised_later=tuple(days.holds_after(session, firm_id, on_date)),
        ),
        conditions=RoadConditions(
            closures=closed.in_force, speeds_mph=road_speeds(session, firm_id)
        ),
        horizon_days=horizon_days,
        notes=(*by_water.notes, *closed.notes),
    )
