"""A store with one full day, invented, for measuring how quickly the pages answer."""

from dataclasses import dataclass, replace
from datetime import UTC, date, datetime

import numpy as np

from registry.plan.ports import RoadEngine, RouteSolver
from registry.records.changes import Role, Viewer
from registry.records.crew import Licence, Technician, Truck
from registry.records.day import Day
from registry.services.plan_day import DayOrder, Search, plan_day
from registry.services.recompute_due import recompute_due
from registry.services.users import add_user
from registry.store import Author, Store, crew, places
from registry.store.bench_rows import add_county, middle_of
from registry.store.migrate import upgrade

ON, LAST = date(2027, 6, 15), date(2026, 6, 15)
"""The day, and the last on which anybody worked at a site: by then all is due."""
SIGN_IN, PASSWORD = "office", "an invented password"
VISITS_EACH = 7
"""Visits for which there is one technician."""
SITES_A_VISIT = 1.3
"""Not at every site something is due."""
SKILLS = ("pressure", "treatment", "panel", "vacuum truck")
LICENCES = ("maintenance", "pumper", "electrical")
FIRM = 1
ALL_DUE_DAYS = 500
"""So far ahead everything counts as due. [days]"""


@dataclass(frozen=True, slots=True)
class FullDay:
    """The day that was made: as it is planned, and how many technicians drive."""

    day: Day
    technicians: int


def make_full_day(
    store: Store, roads: RoadEngine, solver: RouteSolver, visits: int, *, seconds: float, seed: int
) -> FullDay:
    """Fill an empty store with a day of so many visits, ordered, and a sign-in for it."""
    upgrade(store)
    chance = np.random.default_rng(seed)
    by = Author("bench", datetime(2026, 6, 1, tzinfo=UTC))
    number = max(1, -(-visits // VISITS_EACH))
    with store.session() as session:
        ids = add_county(session, 0, round(visits * SITES_A_VISIT), LAST, chance)
        firm = places.firm(session, FIRM)
        places.put_firm(session, replace(firm, yard=middle_of(0), daylight_only=False), by)
        for one in range(1, number + 1):
            truck = Truck(name=f"Truck {one}", water_gal=500.0)
            crew.put_truck(session, FIRM, truck, by)
            crew.put_technician(session, FIRM, _technician(one, truck), by)
        viewer = Viewer(name=SIGN_IN, role=Role.DISPATCHER, firm_id=FIRM)
        add_user(session, viewer, PASSWORD, by.at)
    with store.session() as session:
        recompute_due(session, ON, ids)
    wanted = DayOrder(
        firm_id=FIRM,
        on_date=ON,
        search=Search(seconds=seconds, seed=seed, bound_s=0.0),
        made_by="bench",
        now=by.at,
        horizon_days=ALL_DUE_DAYS,
    )
    return FullDay(plan_day(store, roads, solver, wanted), number)


def _technician(number: int, truck: Truck) -> Technician:
    """Return a technician with a day long enough for seven visits of an hour and more."""
    return Technician(
        name=f"Invented Technician {number}",
        initials=f"T{number}",
        shift_from_min=6 * 60,
        shift_to_min=20 * 60,
        workdays=tuple(range(7)),
        skills=SKILLS,
        licences=tuple(Licence(kind=kind) for kind in LICENCES),
        truck=truck,
    )
