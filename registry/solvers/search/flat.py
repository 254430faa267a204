"""The day as a few arrays of rows, which is what compiled code can walk through.

Nodes are numbered: first the visits, then the fill points, then the places where routes start
and end. Rows are numpy structured arrays; the classes here name their fields.
"""

from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from registry.plan.problem import WATER_SLACK_GAL, DayProblem, OnDuty

type Ints = npt.NDArray[np.int64]
type SmallInts = npt.NDArray[np.int32]
type Floats = npt.NDArray[np.float64]
type Flags = npt.NDArray[np.bool_]

REQUIRED_S = 5_000_000
"""Price inside the search of leaving out a visit that must be made: above any driving."""


class Rows[Row](Protocol):
    """A structured array of one dimension, as compiled code sees it."""

    def __getitem__(self, number: int, /) -> Row:
        """Return one row."""
        ...

    def __len__(self) -> int:
        """Return the number of rows."""
        ...


class Grid[Row](Protocol):
    """A structured array of two dimensions, as compiled code sees it."""

    @property
    def shape(self) -> tuple[int, int]:
        """Return rows and columns."""
        ...

    def __getitem__(self, numbers: tuple[int, int], /) -> Row:
        """Return one row of fields."""
        ...


class Node(Protocol):
    """A visit, a fill point or an end place; its windows are rows of ``windows``."""

    service: int
    windows_from: int
    windows_to: int
    opens: int
    closes: int
    water: float
    demand: int
    worth: int


class Driver(Protocol):
    """A technician; ``kind`` is equal for those who are alike in everything."""

    start: int
    end: int
    shift_from: int
    shift_to: int
    has_lunch: bool
    lunch_from: int
    lunch_to: int
    lunch_len: int
    tank: float
    capacity: int
    kind: int


NODE = np.dtype(
    [
        ("service", np.int64),
        ("windows_from", np.int64),
        ("windows_to", np.int64),
        ("opens", np.int64),
        ("closes", np.int64),
        ("water", np.float64),
        ("demand", np.int64),
        ("worth", np.int64),
    ]
)
DRIVER = np.dtype(
    [
        ("start", np.int64),
        ("end", np.int64),
        ("shift_from", np.int64),
        ("shift_to", np.int64),
        ("has_lunch", np.bool_),
        ("lunch_from", np.int64),
        ("lunch_to", np.int64),
        ("lunch_len", np.int64),
        ("tank", np.float64),
        ("capacity", np.int64),
        ("kind", np.int64),
    ],
    align=True,
)


class FlatDay(NamedTuple):
    """A day for the compiled search; K technicians, n visits, N nodes, W windows.

    ``windows`` has shape (W, 2); ``travel`` (N, N) in seconds; ``able`` (K, n); ``near`` (n, n)
    lists for each visit all visits by the drive there and back. ``fills`` is how many nodes
    behind the visits are fill points.
    """

    nodes: npt.NDArray[np.void]
    windows: Ints
    travel: SmallInts
    crew: npt.NDArray[np.void]
    able: Flags
    near: SmallInts
    fills: int


def flat_day(problem: DayProblem) -> FlatDay:
    """Return the rows of a day."""
    crew, visits, fills = problem.technicians, problem.visits, problem.fills
    ends = sorted({place for who in crew for place in (who.start_place, who.end_place)})
    places = [*(v.place for v in visits), *(f.place for f in fills), *ends]
    travel = problem.travel_s[np.ix_(places, places)].astype(np.int32)
    there_and_back = (travel + travel.T)[: len(visits), : len(visits)]
    first_end = len(visits) + len(fills)
    nodes, windows = _node_rows(problem, len(ends))
    return FlatDay(
        nodes=nodes,
        windows=windows,
        travel=np.ascontiguousarray(travel),
        crew=_driver_rows(problem, {place: first_end + i for i, place in enumerate(ends)}),
        able=np.array(
            [[problem.may_make(k, i) for i in range(len(visits))] for k in range(len(crew))],
            np.bool_,
        ).reshape(len(crew), len(visits)),
        near=np.argsort(there_and_back, axis=1, kind="stable").astype(np.int32),
        fills=len(fills),
    )


def _node_rows(problem: DayProblem, ends: int) -> tuple[npt.NDArray[np.void], Ints]:
    """Return the rows of all nodes, and their windows."""
    latest = max((who.shift_to_s for who in problem.technicians), default=0)
    all_day = ((0, latest),)
    windows = [v.windows for v in problem.visits]
    windows += [(f.window,) if f.window else all_day for f in problem.fills]
    windows += [all_day] * ends
    rows = np.zeros(len(windows), NODE)
    upto = np.cumsum([0, *(len(some) for some in windows)])
    rows["windows_from"], rows["windows_to"] = upto[:-1], upto[1:]
    rows["opens"] = [some[0][0] for some in windows]
    rows["closes"] = [some[-1][1] for some in windows]
    for i, visit in enumerate(problem.visits):
        worth_s = visit.worth_s + (REQUIRED_S if visit.required else 0)
        rows[i]["service"], rows[i]["worth"] = visit.service_s, worth_s
        rows[i]["water"], rows[i]["demand"] = visit.water_gal, visit.demand
    for i, fill in enumerate(problem.fills, len(problem.visits)):
        rows[i]["service"] = fill.service_s
    return rows, np.array([window for some in windows for window in some], np.int64)


def _driver_rows(problem: DayProblem, node_of_end: dict[int, int]) -> npt.NDArray[np.void]:
    """Return the rows of all technicians."""
    rows = np.zeros(len(problem.technicians), DRIVER)
    kinds: dict[object, int] = {}
    for k, who in enumerate(problem.technicians):
        lunch = who.lunch
        rows[k] = (
            node_of_end[who.start_place],
            node_of_end[who.end_place],
            who.shift_from_s,
            who.shift_to_s,
            lunch is not None,
            lunch.from_s if lunch else 0,
            lunch.to_s if lunch else 0,
            lunch.duration_s if lunch else 0,
            np.inf if who.tank_gal is None else who.tank_gal + WATER_SLACK_GAL,
            2**40 if who.capacity is None else who.capacity,
            kinds.setdefault(alike(problem, k, who), len(kinds)),
        )
    return rows


def alike(problem: DayProblem, number: int, who: OnDuty) -> object:
    """Return what makes technicians interchangeable: equal answers, equal routes."""
    held = tuple(i for i, visit in enumerate(problem.visits) if visit.held_by == number)
    hours = (who.shift_from_s, who.shift_to_s, who.lunch)
    truck = (who.tank_gal, who.capacity, who.people)
    return who.start_place, who.end_place, hours, who.skills, truck, held
