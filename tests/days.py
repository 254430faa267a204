"""Small days for tests of the plan and the solvers, and their best plans by full enumeration."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations, permutations

import numpy as np

from registry.plan.check import BreachKind, breaches
from registry.plan.cost import route_cost
from registry.plan.problem import (
    ANYWHERE,
    UNREACHABLE_S,
    Call,
    DayFill,
    DayProblem,
    DayVisit,
    Link,
    Lunch,
    OnDuty,
    RouteCalls,
    Travel,
)

MIN = 60
HOUR = 3600
ALL_DAY = ((0, 24 * HOUR),)
LUNCH = Lunch(from_s=11 * HOUR, to_s=12 * HOUR, duration_s=30 * MIN)


def technician(number: int = 1, place: int = 0, **fields) -> OnDuty:
    """A technician who works from 8 to 17 and starts and ends at one place."""
    known = {
        "id": f"T{number}",
        "name": f"Technician {number}",
        "start_place": place,
        "end_place": place,
        "shift_from_s": 8 * HOUR,
        "shift_to_s": 17 * HOUR,
    }
    return OnDuty(**(known | fields))


def visit(name: str, place: int, **fields) -> DayVisit:
    """A visit of half an hour at any time, worth three hours of driving."""
    known = {
        "id": name,
        "name": f"Site {name}",
        "place": place,
        "service_s": 30 * MIN,
        "windows": ALL_DAY,
        "worth_s": 3 * HOUR,
    }
    return DayVisit(**(known | fields))


def on_a_line(
    minutes: Sequence[float],
    visits: Sequence[DayVisit],
    crew: Sequence[OnDuty] | None = None,
    fills: Sequence[DayFill] = (),
) -> DayProblem:
    """A day on one straight road: place i lies so many minutes from its beginning."""
    at = np.array(minutes, float)
    travel_s = np.rint(np.abs(at[:, None] - at[None, :]) * MIN).astype(np.int64)
    return DayProblem(
        name="line",
        travel_s=travel_s,
        travel_m=travel_s * 15,
        technicians=tuple(crew) if crew is not None else (technician(),),
        visits=tuple(visits),
        fills=tuple(fills),
    )


def route(*stops: int | str) -> RouteCalls:
    """Calls of a route: a number is a visit, a text such as "f0" a fill point."""
    return tuple(
        Call(stop) if isinstance(stop, int) else Call(int(stop[1:]), is_fill=True) for stop in stops
    )


@dataclass(frozen=True, slots=True, eq=False)
class NamedDay:
    """A day that differs from a plain one in a single feature.

    ``blind`` is a plan that would be best without the feature, and ``breach`` what it breaks with
    it; no breach where the feature only opens or prices something.
    """

    name: str
    problem: DayProblem
    blind: tuple[RouteCalls, ...]
    breach: BreachKind | None


def named_days() -> list[NamedDay]:
    """The features that a solver must respect, one day each."""
    a, b = visit("A", 1), visit("B", 2)
    road = [0, 10, 20]
    near_and_far = [technician(1), technician(2, place=3, skills=frozenset({"pump"}), people=2)]
    early = replace(b, windows=((8 * HOUR, 9 * HOUR),))
    late = replace(a, windows=((15 * HOUR, 16 * HOUR),))
    long = [replace(one, service_s=2 * HOUR) for one in (a, b)]
    fill = DayFill(id="0", name="Hydrant", place=3, service_s=10 * MIN)
    thirsty = [replace(one, water_gal=80.0) for one in (a, b)]
    tank = [technician(tank_gal=100.0)]
    blocked = on_a_line(road, [a, b])
    blocked.travel_s[:, 2] = UNREACHABLE_S
    blocked.travel_s[2, 2] = 0
    one_way = on_a_line(road, [a, b])
    one_way.travel_s[1, 2] = one_way.travel_s[2, 1] + 50 * MIN
    twice_open = replace(b, windows=((8 * HOUR, 8 * HOUR + 5 * MIN), (16 * HOUR, 16 * HOUR + 5)))
    return [
        NamedDay("plain", on_a_line(road, [a, b]), (route(0, 1),), None),
        NamedDay("window", on_a_line(road, [late, early]), (route(0, 1),), BreachKind.WINDOW),
        NamedDay("two windows", on_a_line(road, [a, twice_open]), (route(0),), None),
        NamedDay(
            "lunch",
            on_a_line(road, long, [technician(shift_to_s=13 * HOUR, lunch=LUNCH)]),
            (route(0, 1),),
            BreachKind.LUNCH,
        ),
        NamedDay(
            "no lunch if back in time",
            on_a_line(road, [a, b], [technician(shift_to_s=9 * HOUR + 40 * MIN, lunch=LUNCH)]),
            (route(0, 1),),
            None,
        ),
        NamedDay(
            "shift",
            on_a_line(road, [a, b], [technician(shift_to_s=9 * HOUR + 30 * MIN)]),
            (route(0, 1),),
            BreachKind.SHIFT,
        ),
        NamedDay(
            "skill",
            on_a_line([*road, 60], [replace(a, skills=frozenset({"pump"})), b], near_and_far),
            (route(0, 1), ()),
            BreachKind.SKILL,
        ),
        NamedDay(
            "two people",
            on_a_line([*road, 60], [replace(a, people=2), b], near_and_far),
            (route(0, 1), ()),
            BreachKind.PEOPLE,
        ),
        NamedDay(
            "held",
            on_a_line([*road, 60], [replace(a, held_by=1), b], near_and_far),
            (route(0, 1), ()),
            BreachKind.HELD,
        ),
        NamedDay(
            "required",
            on_a_line([0, 10, 200], [a, replace(b, worth_s=60, required=True)]),
            (route(0),),
            BreachKind.REQUIRED,
        ),
        NamedDay(
            "not worth the drive",
            on_a_line([0, 10, 200], [a, replace(b, worth_s=60)]),
            (route(0, 1),),
            None,
        ),
        NamedDay(
            "water",
            on_a_line([*road, 15], thirsty, tank, [fill]),
            (route(0, 1),),
            BreachKind.WATER,
        ),
        NamedDay(
            "fill point's hours",
            on_a_line([*road, 15], thirsty, tank, [replace(fill, window=(13 * HOUR, 14 * HOUR))]),
            (route(0, 1),),
            BreachKind.WATER,
        ),
        NamedDay("unreachable", blocked, (route(0, 1),), BreachKind.UNREACHABLE),
        NamedDay("one way", one_way, (route(0, 1),), None),
        NamedDay(
            "room on the truck",
            on_a_line(
                road,
                [replace(one, demand=1) for one in (a, b)],
                [technician(number, capacity=1) for number in (1, 2)],
            ),
            (route(0, 1), ()),
            BreachKind.CAPACITY,
        ),
        *_priced_days(),
        NamedDay(
            "ends elsewhere",
            on_a_line([0, 10, 20, 30], [a, b], [technician(end_place=3)]),
            (route(1, 0),),
            None,
        ),
    ]


def _priced_days() -> list[NamedDay]:
    """Features that only our own search takes as they are."""
    a, b = visit("A", 1), visit("B", 2)
    road = [0, 10, 20]
    short = technician(shift_to_s=9 * HOUR + 30 * MIN)
    dump = DayFill(id="0", name="Plant", place=3, service_s=10 * MIN, empties=True)
    loads = [replace(one, septage_gal=800.0) for one in (a, b)]
    tanker = [technician(room_gal=1000.0)]
    low_bridge = on_a_line(road, [a, b], [technician(table=1)])
    around_s = low_bridge.travel_s.copy()
    around_s[1, 2] = around_s[2, 1] = UNREACHABLE_S
    pair = [technician(1), technician(2)]
    return [
        NamedDay(
            "overtime",
            on_a_line(road, [a, b], [replace(short, overtime_s=HOUR, overtime_percent=300)]),
            (route(0),),
            None,
        ),
        NamedDay(
            "overtime that is not worth it",
            on_a_line(
                road,
                [a, replace(b, worth_s=10 * MIN)],
                [replace(short, overtime_s=HOUR, overtime_percent=300)],
            ),
            (route(0, 1),),
            None,
        ),
        NamedDay(
            "driving limit",
            on_a_line(road, [a, b], [technician(most_drive_s=30 * MIN)]),
            (route(0, 1),),
            BreachKind.DRIVING,
        ),
        NamedDay(
            "even work",
            on_a_line(
                road,
                [replace(one, service_s=2 * HOUR) for one in (a, b)],
                [technician(n, even_s=3 * HOUR, uneven_percent=100) for n in (1, 2)],
            ),
            (route(0, 1), ()),
            None,
        ),
        NamedDay(
            "ruled out",
            on_a_line([*road, 60], [replace(a, ruled_out=frozenset({0})), b], pair),
            (route(0, 1), ()),
            BreachKind.RULED_OUT,
        ),
        NamedDay(
            "moved to somebody else",
            on_a_line(
                [*road, 60],
                [replace(a, usual=1, move_price_s=4 * HOUR), b],
                [technician(1), technician(2, place=3)],
            ),
            (route(0, 1), ()),
            None,
        ),
        NamedDay(
            "room for septage",
            on_a_line([*road, 15], loads, tanker, [dump]),
            (route(0, 1),),
            BreachKind.SEPTAGE,
        ),
        NamedDay(
            "disposal site's hours",
            on_a_line([*road, 15], loads, tanker, [replace(dump, window=(13 * HOUR, 14 * HOUR))]),
            (route(0, 1),),
            BreachKind.SEPTAGE,
        ),
        NamedDay(
            "septage aboard at the start",
            on_a_line(
                [*road, 15], loads[:1], [technician(room_gal=1000.0, septage_gal=500)], [dump]
            ),
            (route(0),),
            BreachKind.SEPTAGE,
        ),
        NamedDay(
            "water used at the start",
            on_a_line(
                [*road, 15],
                [replace(a, water_gal=80.0)],
                [technician(tank_gal=100.0, water_used_gal=50.0)],
                [replace(dump, empties=False)],
            ),
            (route(0),),
            BreachKind.WATER,
        ),
        NamedDay(
            "a road that a truck may not take",
            replace(low_bridge, more_tables=(Travel(around_s, low_bridge.travel_m),)),
            (route(0, 1),),
            BreachKind.UNREACHABLE,
        ),
    ]


@dataclass(frozen=True, slots=True, eq=False)
class LinkedDay:
    """A day with visits that depend on each other: a plan blind to that, and what is best."""

    name: str
    problem: DayProblem
    blind: tuple[RouteCalls, ...]
    best: int


def linked_days() -> list[LinkedDay]:
    """The ways in which visits depend on each other, one small day each; costs worked by hand."""
    a, b = visit("A", 1), visit("B", 2)
    road = [0, 10, 20]
    morning = replace(a, windows=((8 * HOUR, 9 * HOUR), (14 * HOUR, 15 * HOUR)))
    pair = [technician(1), technician(2, place=2)]
    spare = visit("free", ANYWHERE, service_s=HOUR, windows=((8 * HOUR, 11 * HOUR),), required=True)
    return [
        LinkedDay(
            "one after the other",
            replace(on_a_line(road, [morning, b]), links=(Link(first=1, then=0),)),
            (route(0, 1),),
            40 * MIN,
        ),
        LinkedDay(
            "one after the other on two trucks",
            replace(
                on_a_line([*road], [replace(a, ruled_out=frozenset({1})), b], pair),
                links=(Link(first=1, then=0),),
            ),
            (route(0), route(1)),
            20 * MIN,
        ),
        LinkedDay(
            "on the same truck",
            replace(
                on_a_line([0, 10, 60], [a, b], [technician(1), technician(2, place=2)]),
                links=(Link(first=0, then=1, same_truck=True),),
            ),
            (route(0), route(1)),
            100 * MIN,
        ),
        LinkedDay(
            "not without the first",
            replace(
                on_a_line([0, 10, 200], [b, replace(a, worth_s=HOUR)]),
                links=(Link(first=0, then=1),),
            ),
            (route(1),),
            4 * HOUR,
        ),
        LinkedDay(
            "two technicians at once",
            replace(
                on_a_line([0, 10, 10], [a, replace(a, id="A2"), b], pair),
                links=(Link(first=0, then=1, together=True),),
            ),
            (route(0, 1), route(2)),
            20 * MIN,
        ),
        LinkedDay(
            "an hour kept free before noon",
            on_a_line(
                road,
                [replace(a, windows=((9 * HOUR, 9 * HOUR + 30 * MIN),)), b, spare],
                [technician(shift_to_s=12 * HOUR)],
            ),
            (route(0, 1),),
            40 * MIN,
        ),
    ]


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


def best_cost(problem: DayProblem) -> int:
    """The cost of the best plan, by trying every one (at most one stop at each fill per route)."""
    visits = range(len(problem.visits))
    required = [i for i in visits if problem.visits[i].required]
    worth = [problem.visits[i].worth_s for i in visits]
    cheapest: dict[int, int] = {0: 0}
    for k in range(len(problem.technicians)):
        routes = _routes_of(problem, k)
        merged = dict(cheapest)
        for made, cost in cheapest.items():
            for mask, drive_s in routes.items():
                if not made & mask and cost + drive_s < merged.get(made | mask, 2**60):
                    merged[made | mask] = cost + drive_s
        cheapest = merged
    return min(
        cost + sum(worth[i] for i in visits if not mask >> i & 1)
        for mask, cost in cheapest.items()
        if all(mask >> i & 1 for i in required)
    )


def _routes_of(problem: DayProblem, k: int) -> dict[int, int]:
    """The least cost of one technician's route for each set of visits that they can make."""
    able = [i for i in range(len(problem.visits)) if problem.may_make(k, i)]
    found: dict[int, int] = {}
    for size in range(1, len(able) + 1):
        for chosen in combinations(able, size):
            costs = [
                route_cost(problem, k, calls)
                for order in permutations(chosen)
                for calls in _with_fills(problem, route(*order))
                if _holds(problem, k, calls)
            ]
            if costs:
                found[sum(1 << i for i in chosen)] = min(costs)
    return found


def _with_fills(problem: DayProblem, calls: RouteCalls) -> list[RouteCalls]:
    """The calls as they are, and with one stop at each fill put in anywhere."""
    made = [calls]
    for fill in range(len(problem.fills)):
        made += [
            (*known[:at], Call(fill, is_fill=True), *known[at:])
            for known in made
            for at in range(len(known) + 1)
        ]
    return made


def _holds(problem: DayProblem, k: int, calls: RouteCalls) -> bool:
    """Whether one route keeps every limit."""
    routes = [calls if number == k else () for number in range(len(problem.technicians))]
    return not [one for one in breaches(problem, routes) if one.kind is not BreachKind.REQUIRED]
