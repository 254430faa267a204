"""Small days drawn by chance: with a bit of everything, and with every price."""

from dataclasses import replace

import numpy as np

from registry.plan.problem import (
    UNREACHABLE_S,
    DayFill,
    DayProblem,
    Travel,
)
from tests.days.build import ALL_DAY, HOUR, LUNCH, MIN, technician, visit


def random_full_day(seed: int) -> DayProblem:
    """A small day with every price and both tanks."""
    chance = np.random.default_rng([11, seed])
    day = random_day(seed, visits=4)
    crew = [
        replace(
            who,
            overtime_s=int(chance.integers(0, 3)) * 30 * MIN,
            overtime_percent=int(chance.integers(50, 300)),
            most_drive_s=int(chance.integers(60, 200)) * MIN if chance.random() < 0.4 else None,
            even_s=int(chance.integers(60, 200)) * MIN if chance.random() < 0.6 else None,
            uneven_percent=int(chance.integers(10, 100)),
            room_gal=float(chance.integers(1000, 2000)),
            septage_gal=float(chance.integers(0, 500)),
            water_used_gal=float(chance.integers(0, 60)),
            table=number % 2,
        )
        for number, who in enumerate(day.technicians)
    ]
    visits = [
        replace(
            one,
            septage_gal=float(chance.integers(500, 900)) if chance.random() < 0.5 else 0.0,
            usual=int(chance.integers(2)) if chance.random() < 0.5 else None,
            move_price_s=int(chance.integers(0, 3000)),
            prices_s=tuple(chance.integers(0, 900, 2).tolist()),
            ruled_out=frozenset({int(chance.integers(2))})
            if chance.random() < 0.2
            else frozenset(),
            held_by=None,
        )
        for one in day.visits
    ]
    other = day.travel_s + chance.integers(0, 600, day.travel_s.shape)
    other[chance.integers(2, len(other)), 2:] = UNREACHABLE_S
    np.fill_diagonal(other, 0)
    dump = DayFill(id="1", name="Plant", place=1, service_s=15 * MIN, empties=True)
    return replace(
        day,
        technicians=tuple(crew),
        visits=tuple(visits),
        fills=(*day.fills, dump),
        more_tables=(Travel(other, day.travel_m),),
    )


def random_day(seed: int, visits: int = 5, crew: int = 2) -> DayProblem:
    """A small day with a bit of everything: windows, lunch, skills, water, holds, two windows."""
    chance = np.random.default_rng([7, seed])
    places = 1 + 1 + visits
    xy = chance.uniform(0, 40, (places, 2))
    minutes = np.sqrt(((xy[:, None] - xy[None]) ** 2).sum(-1)) * chance.uniform(
        1, 1.2, (places,) * 2
    )
    travel_s = np.ceil(minutes * MIN).astype(np.int64)
    np.fill_diagonal(travel_s, 0)
    for k in range(places):  # keeps the triangle inequality
        travel_s = np.minimum(travel_s, travel_s[:, [k]] + travel_s[[k], :])
    people = [
        technician(
            number + 1,
            shift_to_s=int(chance.integers(12, 16)) * HOUR,
            lunch=LUNCH if chance.random() < 0.7 else None,
            skills=frozenset({"pump"}) if number == 0 or chance.random() < 0.3 else frozenset(),
            tank_gal=float(chance.integers(100, 200)),
        )
        for number in range(crew)
    ]
    due = []
    for number in range(visits):
        opens = int(chance.integers(8, 14)) * HOUR
        windows = ALL_DAY
        if chance.random() < 0.5:
            windows = ((opens, opens + HOUR),)
            if chance.random() < 0.4:
                windows = ((opens, opens + 20 * MIN), (opens + 2 * HOUR, opens + 3 * HOUR))
        due.append(
            visit(
                f"V{number}",
                2 + number,
                service_s=int(chance.integers(2, 9)) * 15 * MIN,
                windows=windows,
                skills=frozenset({"pump"}) if chance.random() < 0.3 else frozenset(),
                water_gal=float(chance.integers(40, 100)) if chance.random() < 0.5 else 0.0,
                worth_s=int(chance.integers(1200, 7200)),
                held_by=int(chance.integers(crew)) if chance.random() < 0.15 else None,
            )
        )
    fill = DayFill(id="0", name="Hydrant", place=1, service_s=12 * MIN)
    return DayProblem(
        name=f"random {seed}",
        travel_s=travel_s,
        travel_m=travel_s * 15,
        technicians=tuple(people),
        visits=tuple(due),
        fills=(fill,),
    )
