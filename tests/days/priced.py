"""Days with what only our own search takes as it is: prices, septage, truck tables."""

from dataclasses import dataclass, replace

from registry.plan.check import BreachKind
from registry.plan.problem import (
    UNREACHABLE_S,
    DayFill,
    DayProblem,
    RouteCalls,
    Travel,
)
from tests.days.build import HOUR, MIN, on_a_line, route, technician, visit


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


def priced_days() -> list[NamedDay]:
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
