"""What a season is made from, read from the store, and how far its places are from each other."""

from dataclasses import dataclass, field
from datetime import date, timedelta

from registry.plan.ports import RoadEngine
from registry.season.asked import SeasonAsked, Terms, Ways
from registry.season.from_records import Frame, Ground, Kept, SeasonKnown, season_from_records
from registry.season.weeks import calendar_from
from registry.store import Session, crew, places
from registry.store.due_sites import due_sites
from registry.store.flood_facts import sites_in_hazard_area
from registry.store.obligations import due_by
from registry.store.rules import rules, task_kinds

WEEKS = 52
MOST_BY_ROADS = 1500
"""Of more sites no whole table of travel times is asked for: ways are then as flown."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonWish:
    """On what terms a season is to be made."""

    terms: Terms = field(default_factory=Terms)
    ground: Ground = field(default_factory=Ground)
    n_weeks: int = WEEKS


def season_known(
    session: Session, firm_id: int, today: date, kept: Kept, wish: SeasonWish
) -> SeasonKnown:
    """Return a year of a firm, from the week that holds a day on."""
    calendar = calendar_from(today, wish.n_weeks)
    last = calendar.monday(calendar.n_weeks) - timedelta(days=1)
    owed = due_by(session, firm_id, last)
    frame = Frame(
        calendar=calendar,
        today=today,
        tasks={one.code: one for one in task_kinds(session)},
        rules={one.code: one for one in rules(session)},
        kept=kept,
        terms=wish.terms,
        ground=wish.ground,
    )
    return season_from_records(
        frame,
        due_sites(session, owed, [], today),
        sites_in_hazard_area(session, firm_id),
        crew.technicians(session, firm_id),
        places.firm(session, firm_id).yard,
    )


def season_ways(asked: SeasonAsked, roads: RoadEngine, flown: Ways) -> Ways:
    """Return the ways between all sites and starts: by roads where there are not too many."""
    points = [*asked.places, *(who.start for who in asked.people)]
    if not points or len(points) > MOST_BY_ROADS:
        return flown
    return Ways(flown_s_per_m=flown.flown_s_per_m, travel_s=roads.travel_times(points).travel_s)
