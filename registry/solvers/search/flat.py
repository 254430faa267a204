"""The day as a few arrays of rows, which is what compiled code can walk through.

Nodes are numbered: first the visits, then the fill points, then the places where routes start
and end. Their rows are those of ``registry.solvers.rows`` with what the search looks at besides.
"""

from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from registry.plan.problem import WATER_SLACK_GAL, DayProblem
from registry.solvers import rows
from registry.solvers.rows import Flags, Ints, SmallInts

type Tables = npt.NDArray[np.int32]

REQUIRED_S = 5_000_000
"""Price inside the search of leaving out a visit that must be made: above any driving."""


class Grid[Row](Protocol):
    """A structured array of two dimensions, as compiled code sees it."""

    @property
    def shape(self) -> tuple[int, int]:
        """Return rows and columns."""
        ...

    def __getitem__(self, numbers: tuple[int, int], /) -> Row:
        """Return one row of fields."""
        ...


class Node(rows.Node, Protocol):
    """A visit, a fill point or an end place.

    A fill point that ``empties`` takes septage instead of giving water.
    """

    opens: int
    water: float
    septage: float
    empties: bool
    worth: int


class Driver(rows.Driver, Protocol):
    """A technician; ``kind`` is equal for those who are alike in everything.

    From ``regular_to`` on hours are priced.
    ``tank`` and ``room`` are limits on water and septage, ``used`` and ``aboard`` what counts
    against them at the start. ``priced``: overtime or unevenness costs something.
    """

    tank: float
    used: float
    room: float
    aboard: float
    table: int
    priced: bool
    regular_to: int
    overtime_percent: int
    even: int
    uneven_percent: int
    kind: int


NODE = np.dtype(
    [
        ("opens", np.int64),
        ("water", np.float64),
        ("septage", np.float64),
        ("empties", np.bool_),
        ("worth", np.int64),
        *rows.NODE_FIELDS,
    ],
    align=True,
)
DRIVER = np.dtype(
    [
        ("tank", np.float64),
        ("used", np.float64),
        ("room", np.float64),
        ("aboard", np.float64),
        ("table", np.int64),
        ("priced", np.bool_),
        ("regular_to", np.int64),
        ("overtime_percent", np.int64),
        ("even", np.int64),
        ("uneven_percent", np.int64),
        ("kind", np.int64),
        *rows.DRIVER_FIELDS,
    ],
    align=True,
)


class FlatDay(NamedTuple):
    """A day for the compiled search; K technicians, n visits, N nodes, W windows, T tables.

    ``windows`` has shape (W, 2); ``travel`` (T, N, N) in seconds; ``able`` (K, n); ``extra`` (K, n)
    prices visits by technician, in seconds; ``near`` (n, n) lists for each visit all visits by the
    drive there and back. ``fills`` is how many nodes behind the visits are fill points.
    """

    nodes: npt.NDArray[np.void]
    windows: Ints
    travel: Tables
    crew: npt.NDArray[np.void]
    able: Flags
    extra: Ints
    near: SmallInts
    fills: int


def flat_day(problem: DayProblem) -> FlatDay:
    """Return the rows of a day whose visits all have a place and no links."""
    crew, visits, fills = problem.technicians, problem.visits, problem.fills
    ends = sorted({place for who in crew for place in (who.start_place, who.end_place)})
    places = [*(v.place for v in visits), *(f.place for f in fills), *ends]
    tables = [problem.travel_s, *(table.travel_s for table in problem.more_tables)]
    travel = np.stack([table[np.ix_(places, places)] for table in tables]).astype(np.int32)
    there_and_back = (travel[0] + travel[0].T)[: len(visits), : len(visits)]
    first_end = len(visits) + len(fills)
    nodes, windows = _node_rows(problem, len(ends))
    shape = (len(crew), len(visits))
    able = [[problem.may_make(k, i) for i in range(len(visits))] for k in range(len(crew))]
    extra = [[visit.extra_s(k) for visit in visits] for k in range(len(crew))]
    day = FlatDay(
        nodes=nodes,
        windows=windows,
        travel=travel,
        crew=np.zeros(len(crew), DRIVER),
        able=np.array(able, np.bool_).reshape(shape),
        extra=np.array(extra, np.int64).reshape(shape),
        near=np.argsort(there_and_back, axis=1, kind="stable").astype(np.int32),
        fills=len(fills),
    )
    _write_drivers(day, problem, {place: first_end + i for i, place in enumerate(ends)})
    return day


def _node_rows(problem: DayProblem, ends: int) -> tuple[npt.NDArray[np.void], Ints]:
    """Return the rows of all nodes, and their windows."""
    latest = max((who.shift_to_s for who in problem.technicians), default=0)
    all_day = ((0, latest),)
    stops = [(visit.service_s, visit.windows, visit.demand) for visit in problem.visits]
    stops += [
        (fill.service_s, (fill.window,) if fill.window else all_day, 0) for fill in problem.fills
    ]
    nodes, windows = rows.node_rows([*stops, *[(0, all_day, 0)] * ends], NODE)
    nodes["opens"] = windows[nodes["windows_from"], 0]
    for i, visit in enumerate(problem.visits):
        worth_s = visit.worth_s + (REQUIRED_S if visit.required else 0)
        nodes[i]["worth"] = worth_s
        nodes[i]["water"], nodes[i]["septage"] = visit.water_gal, visit.septage_gal
    nodes["empties"][len(problem.visits) : -ends] = [fill.empties for fill in problem.fills]
    return nodes, windows


def _write_drivers(day: FlatDay, problem: DayProblem, node_of_end: dict[int, int]) -> None:
    """Write the rows of all technicians."""
    kinds: dict[object, int] = {}
    for k, who in enumerate(problem.technicians):
        row = day.crew[k]
        rows.write_driver(row, who, node_of_end[who.start_place], node_of_end[who.end_place])
        row["tank"] = np.inf if who.tank_gal is None else who.tank_gal + WATER_SLACK_GAL
        row["room"] = np.inf if who.room_gal is None else who.room_gal + WATER_SLACK_GAL
        row["used"], row["aboard"] = who.water_used_gal, who.septage_gal
        row["table"] = who.table
        row["priced"] = who.overtime_s > 0 or who.even_s is not None
        row["regular_to"], row["overtime_percent"] = who.shift_to_s, who.overtime_percent
        row["even"] = rows.NO_LIMIT if who.even_s is None else who.even_s
        row["uneven_percent"] = who.uneven_percent
        alike = (row.tobytes(), day.able[k].tobytes(), day.extra[k].tobytes())
        row["kind"] = kinds.setdefault(alike, len(kinds))
