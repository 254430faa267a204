"""Machine code made or loaded before the clock starts, so that no search pays for it."""

from functools import cache

import numpy as np

from registry.plan.problem import Call, DayProblem, DayVisit, OnDuty
from registry.solvers.bound.cuts import fours, triples
from registry.solvers.bound.kinds import SCALE, bound_day
from registry.solvers.bound.labels import EVERY, EXACT, ROUGH
from registry.solvers.bound.one_route import best_order
from registry.solvers.bound.pool import list_routes, price_pool
from registry.solvers.bound.pricing import price_routes, room_for
from registry.solvers.bound.root import Pay, neighbourhoods

HOUR_S = 3600


@cache
def make_ready() -> None:
    """Run everything compiled once, on a day of two visits."""
    visits = tuple(
        DayVisit(
            id=str(place), name="", place=place, service_s=600, windows=((0, HOUR_S),), worth_s=900
        )
        for place in (0, 1)
    )
    who = OnDuty(id="", name="", start_place=2, end_place=2, shift_from_s=0, shift_to_s=2 * HOUR_S)
    travel = np.full((3, 3), 60, np.int64)
    problem = DayProblem(
        name="", travel_s=travel, travel_m=travel, technicians=(who,), visits=visits
    )
    day = bound_day(problem, 1800)
    pay = Pay(day.worth * SCALE, np.zeros(1, np.int64), np.zeros(0, np.int64))
    room = room_for(day, 100)
    for how in (ROUGH, EXACT, EVERY):
        for most_work in (0, 10**6):
            kept = neighbourhoods(day, 2)
            price_routes(day, 0, pay.of_visit, kept, room, how, 0, 10, most_work)
    pool = list_routes(day, pay, SCALE, room, 10**6)
    if pool is not None:
        price_pool(pool, pay, [])
    uses, shares = np.ones((4, 2), np.int64), np.ones(2)
    triples(uses, shares, 9)
    fours(uses, shares, 9)
    best_order(problem, 0, (Call(0), Call(1)))
