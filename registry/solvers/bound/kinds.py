"""A day as the bound sees it: rows for compiled code, technicians that are alike as one kind.

Whatever the rows leave out only makes routes cheaper, so that no plan of the day costs less than
the best plan of the rows: tanks, the price of overtime and of uneven work, links of visits.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from registry.plan.problem import ANYWHERE, UNREACHABLE_S, DayProblem, Matrix64, OnDuty
from registry.solvers.clocks import at_end, backward
from registry.solvers.rows import (
    DRIVER_FIELDS,
    NODE_FIELDS,
    Driver,
    Ints,
    SmallInts,
    node_rows,
    write_driver,
)

SCALE = 1024
"""Parts of a second that prices are counted in: whole numbers, so that no bound is rounded."""
UNPRICED = 1 << 60
"""Stands for a cost that no route can have."""
NODE = np.dtype(NODE_FIELDS)
DRIVER = np.dtype(DRIVER_FIELDS, align=True)
NO_STOP: tuple[int, tuple[tuple[int, int], ...], int] = (0, (), 0)
"""An end of routes as a stop: nothing is done there at no hour."""


@dataclass(frozen=True, slots=True, eq=False)
class Kind:
    """Technicians who are alike in everything: ``who`` is one of them, ``numbers`` are all.

    ``travel`` (nodes, nodes) is their truck's. ``members`` are the visits that they may make,
    ``extra`` (visits,) what each costs more with them [s]; ``home_before`` and ``home_after``
    (nodes,) the latest moments to leave a node for the end place, with lunch to come and behind.
    ``shortest_s`` is the least time that a stop takes with the drive to it.
    """

    who: Driver
    numbers: tuple[int, ...]
    travel: SmallInts
    members: Ints
    extra: Ints
    home_before: Ints
    home_after: Ints
    shortest_s: int

    @property
    def many(self) -> int:
        """How many technicians are of the kind."""
        return len(self.numbers)

    @property
    def shift_s(self) -> int:
        """How long the shift is, overtime included."""
        return int(self.who.shift_to - self.who.shift_from)


@dataclass(frozen=True, slots=True, eq=False)
class BoundDay:
    """The rows of a day: nodes are first the visits, then the ends of routes.

    A visit that must be made costs as much as the known plan if it is left out, hence no cheaper
    plan leaves it out. ``worth`` (visits,) is in seconds.
    """

    nodes: npt.NDArray[np.void]
    windows: Ints
    kinds: tuple[Kind, ...]
    worth: Ints

    @property
    def visits(self) -> int:
        """How many visits the day has."""
        return len(self.worth)


def bound_day(problem: DayProblem, plan_cost: int) -> BoundDay:
    """Return the rows of a day."""
    crew = problem.technicians
    ends = sorted({place for who in crew for place in (who.start_place, who.end_place)})
    node_of_end = {place: len(problem.visits) + i for i, place in enumerate(ends)}
    stops = [(visit.service_s, visit.windows, visit.demand) for visit in problem.visits]
    nodes, windows = node_rows([*stops, *[NO_STOP] * len(ends)], NODE)
    tables = [
        _legs(problem, travel, ends)
        for travel in (problem.travel_s, *(more.travel_s for more in problem.more_tables))
    ]
    alike: dict[object, list[int]] = {}
    for number in range(len(crew)):
        alike.setdefault(_likeness(problem, number), []).append(number)
    worth = [
        max(visit.worth_s, plan_cost) if visit.required else visit.worth_s
        for visit in problem.visits
    ]
    kinds = tuple(
        _kind(problem, nodes, tables[crew[numbers[0]].table], node_of_end, numbers)
        for numbers in alike.values()
    )
    return BoundDay(nodes, windows, kinds, np.array(worth, np.int64))


def _likeness(problem: DayProblem, number: int) -> object:
    """Return what makes technicians interchangeable."""
    who = problem.technicians[number]
    made = tuple(
        (i, visit.extra_s(number))
        for i, visit in enumerate(problem.visits)
        if problem.may_make(number, i)
    )
    hours = (who.shift_from_s, who.shift_to_s + who.overtime_s, who.lunch, who.most_drive_s)
    return who.start_place, who.end_place, who.table, who.capacity, hours, made


def _legs(problem: DayProblem, travel: Matrix64, ends: Sequence[int]) -> SmallInts:
    """Return driving seconds between nodes, as short as by way of any fill points.

    To a visit that is made anywhere there is no drive; from it on, the shortest drive from
    anywhere.
    """
    for place in sorted({fill.place for fill in problem.fills}):
        travel = np.minimum(travel, travel[:, place, None] + travel[None, place, :])
    places = np.array([*(visit.place for visit in problem.visits), *ends], np.int64)
    legs = np.minimum(travel[np.ix_(places, places)], UNREACHABLE_S)
    anywhere = np.flatnonzero(places == ANYWHERE)
    if len(anywhere):
        somewhere = np.flatnonzero(places != ANYWHERE)
        apart = legs + UNREACHABLE_S * np.eye(len(legs), dtype=np.int64)
        apart[-len(ends) :, -len(ends) :] = 0
        legs[anywhere, :] = apart[somewhere].min(axis=0)
        legs[:, anywhere] = 0
    return np.ascontiguousarray(np.minimum(legs, UNREACHABLE_S).astype(np.int32))


def driver_row(who: OnDuty, start: int, end: int) -> Driver:
    """Return the row of a technician whose route starts and ends at given nodes."""
    rows = np.zeros(1, DRIVER).view(np.recarray)
    write_driver(rows[0], who, start, end)
    row: Driver = rows[0]
    return row


def _kind(
    problem: DayProblem,
    nodes: npt.NDArray[np.void],
    travel: SmallInts,
    node_of_end: dict[int, int],
    numbers: list[int],
) -> Kind:
    """Return the rows of technicians who are alike."""
    number = numbers[0]
    duty = problem.technicians[number]
    who = driver_row(duty, node_of_end[duty.start_place], node_of_end[duty.end_place])
    ends = at_end(who)
    home = np.array([backward(who, *ends, int(leg)) for leg in travel[:, who.end]], np.int64)
    visits = range(len(problem.visits))
    members = np.array([i for i in visits if problem.may_make(number, i)], np.int64)
    arriving = travel[np.ix_([*members, who.start], members)].copy()
    arriving[np.arange(len(members)), np.arange(len(members))] = UNREACHABLE_S
    stay_s = nodes["service"][members] + arriving.min(axis=0, initial=UNREACHABLE_S)
    return Kind(
        who=who,
        numbers=tuple(numbers),
        travel=travel,
        members=members,
        extra=np.array([visit.extra_s(number) for visit in problem.visits], np.int64),
        home_before=np.ascontiguousarray(home[:, 0]),
        home_after=np.ascontiguousarray(home[:, 1]),
        shortest_s=int(stay_s.min(initial=UNREACHABLE_S)),
    )
