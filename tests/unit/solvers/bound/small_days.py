"""Small invented days, and their optimum by looking at every plan.

The clock here shares nothing with the program: every moment at which a technician can be ready is
followed up, with lunch before each drive's end and without.
"""

from itertools import permutations

import numpy as np

from registry.plan.problem import DayProblem, DayVisit, Lunch, OnDuty

HOUR = 3600


def random_day(seed: int, more: int = 0) -> DayProblem:
    """A day of 5 to 7 visits, or more, and 2 or 3 technicians that has a bit of everything."""
    chance = np.random.default_rng([20_260_616, seed])
    visits, crew = int(chance.integers(5, 8)) + more, int(chance.integers(2, 4))
    places = chance.uniform(0, 30, (visits + 2, 2))
    apart = np.sqrt(((places[:, None] - places[None]) ** 2).sum(-1))
    travel = np.rint(apart * 60 * chance.uniform(0.9, 1.1, apart.shape)).astype(np.int64)
    hours = float(chance.choice([3.0, 4.0, 5.0]))
    alike = chance.random() < 0.3
    technicians = []
    for number in range(crew):
        starts = 9 * HOUR if alike else int(chance.choice([8, 9, 10])) * HOUR
        has_lunch = alike or chance.random() < 0.7
        skills = {"pump"} if alike or chance.random() < 0.5 else set()
        technicians.append(
            OnDuty(
                id=str(number),
                name=f"technician {number}",
                start_place=visits if alike else visits + number % 2,
                end_place=visits,
                shift_from_s=starts,
                shift_to_s=starts + int(hours * HOUR),
                lunch=Lunch(from_s=11 * HOUR, to_s=12 * HOUR, duration_s=1800)
                if has_lunch
                else None,
                skills=frozenset(skills),
                capacity=4 if chance.random() < 0.2 and not alike else None,
            )
        )
    return DayProblem(
        name=f"small day {seed}",
        travel_s=travel,
        travel_m=travel,
        technicians=tuple(technicians),
        visits=tuple(random_visit(number, crew, chance) for number in range(visits)),
    )


def random_visit(number: int, crew: int, chance: np.random.Generator) -> DayVisit:
    opens = int(chance.integers(8, 13)) * HOUR
    windows = {
        0: ((0, 24 * HOUR),),
        1: ((opens, opens + HOUR),),
        2: ((8 * HOUR, 9 * HOUR), (opens + HOUR, opens + 2 * HOUR)),
    }[int(chance.integers(0, 3))]
    return DayVisit(
        id=str(number),
        name=f"visit {number}",
        place=number,
        service_s=int(chance.integers(2, 9)) * 600,
        windows=windows,
        skills=frozenset({"pump"} if chance.random() < 0.25 else ()),
        demand=int(chance.integers(1, 3)),
        worth_s=int(chance.integers(300, 4000)),
        held_by=int(chance.integers(0, crew)) if chance.random() < 0.1 else None,
        usual=int(chance.integers(0, crew)) if chance.random() < 0.2 else None,
        move_price_s=200,
    )


def shortest_drive(day: DayProblem, technician: int, visits: tuple[int, ...]) -> int | None:
    """The shortest drive over all orders of some visits that hold, None if none does."""
    drives = [
        drive
        for order in permutations(visits)
        if (drive := drive_if_it_holds(day, technician, order)) is not None
    ]
    return min(drives, default=None)


def drive_if_it_holds(day: DayProblem, technician: int, order: tuple[int, ...]) -> int | None:
    """The drive of a route in a given order, None if it breaks the hours."""
    who = day.technicians[technician]
    ready = {(who.shift_from_s, False)}
    here, drive = who.start_place, 0
    for visit in order:
        stop = day.visits[visit]
        leg = int(day.travel_s[here, stop.place])
        ready = {
            (max(now, opens) + stop.service_s, fed)
            for now, fed in arrivals(who, ready, leg)
            for opens, closes in stop.windows
            if now <= closes
        }
        here, drive = stop.place, drive + leg
    leg = int(day.travel_s[here, who.end_place])
    for now, fed in arrivals(who, ready, leg):
        lunch_kept = fed or who.lunch is None or now <= who.lunch.to_s
        if lunch_kept and now <= who.shift_to_s:
            return drive + leg
    return None


def arrivals(who: OnDuty, ready: set[tuple[int, bool]], leg: int) -> set[tuple[int, bool]]:
    arrive = {(now + leg, fed) for now, fed in ready}
    if who.lunch is not None:
        arrive |= {
            (max(now + leg, who.lunch.from_s) + who.lunch.duration_s, True)
            for now, fed in ready
            if not fed and now <= who.lunch.to_s
        }
    return arrive


def cost_of_set(day: DayProblem, technician: int, chosen: int) -> int | None:
    """What it costs that a technician makes a set of visits, None if that cannot be."""
    visits = tuple(i for i in range(len(day.visits)) if chosen >> i & 1)
    who = day.technicians[technician]
    if who.capacity is not None and sum(day.visits[i].demand for i in visits) > who.capacity:
        return None
    if not all(day.may_make(technician, i) for i in visits):
        return None
    drive = shortest_drive(day, technician, visits) if visits else 0
    return None if drive is None else drive + sum(day.visits[i].extra_s(technician) for i in visits)


def optimum(day: DayProblem) -> int:
    """The least cost over all plans of a day without fills and links."""
    sets = 1 << len(day.visits)
    best = {0: 0}
    for technician in range(len(day.technicians)):
        cost = {}
        for chosen in range(sets):
            parts = [chosen & ~(1 << i) for i in range(len(day.visits)) if chosen >> i & 1]
            if parts and technician_cannot(cost, parts):
                continue  # leaving a visit out of a route that holds leaves one that holds
            one = cost_of_set(day, technician, chosen)
            if one is not None:
                cost[chosen] = one
        joined: dict[int, int] = {}
        for made, before in best.items():
            for chosen, price in cost.items():
                if not made & chosen:
                    whole = made | chosen
                    joined[whole] = min(joined.get(whole, before + price), before + price)
        best = joined
    return min(
        price + sum(v.worth_s for i, v in enumerate(day.visits) if not made >> i & 1)
        for made, price in best.items()
        if all(made >> i & 1 for i, v in enumerate(day.visits) if v.required)
    )


def technician_cannot(cost: dict[int, int], parts: list[int]) -> bool:
    return not any(part in cost for part in parts)
