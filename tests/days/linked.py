"""Days with visits that depend on each other, their best costs worked by hand."""

from dataclasses import dataclass, replace

from registry.plan.problem import (
    ANYWHERE,
    DayProblem,
    Link,
    RouteCalls,
)
from tests.days.build import HOUR, MIN, on_a_line, route, technician, visit


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
