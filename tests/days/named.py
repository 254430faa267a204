"""Days that differ from a plain one in a single feature that a solver must respect."""

from dataclasses import replace

from registry.plan.check import BreachKind
from registry.plan.problem import (
    UNREACHABLE_S,
    DayFill,
)
from tests.days.build import HOUR, LUNCH, MIN, on_a_line, route, technician, visit
from tests.days.priced import NamedDay, priced_days


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
        *priced_days(),
        NamedDay(
            "ends elsewhere",
            on_a_line([0, 10, 20, 30], [a, b], [technician(end_place=3)]),
            (route(1, 0),),
            None,
        ),
    ]
