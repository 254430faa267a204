"""The day as a few arrays of rows, which is what compiled code can walk through.

Nodes are numbered: first the visits, then the fill points, then the places where routes start
and end. Rows are numpy structured arrays; the classes here name their fields.
"""

from typing import NamedTuple, Protocol

import numpy as np
import numpy.typing as npt

from registry.plan.problem import WATER_SLACK_GAL, DayProblem

type Ints = npt.NDArray[np.int64]
type SmallInts = npt.NDArray[np.int32]
type Tables = npt.NDArray[np.int32]
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
    """A visit, a fill point or an end place; its windows are rows of ``windows``.

    A fill point that ``empties`` takes septage instead of giving water.
    """

    service: int
    windows_from: int
    windows_to: int
    opens: int
    closes: int
    water: float
    septage: float
    empties: bool
    demand: int
    worth: int


class Driver(Protocol):
    """A technician; ``kind`` is equal for those who are alike in everything.

    ``shift_to`` is the latest return, overtime included; from ``regular_to`` on it is priced.
    ``tank`` and ``room`` are limits on water and septage, ``used`` and ``aboard`` what counts
    against them at the start. ``priced``: overtime or unevenness costs something.
    """

    start: int
    end: int
    shift_from: int
    shift_to: int
    has_lunch: bool
    lunch_from: int
    lunch_to: int
    lunch_len: int
    tank: float
    used: float
    room: float
    aboard: float
    capacity: int
    table: int
    most_drive: int
    priced: bool
    regular_to: int
    overtime_percent: int
    even: int
    uneven_percent: int
    kind: int


NODE = np.dtype(
    [
        ("service", np.int64),
        ("windows_from", np.int64),
        ("windows_to", np.int64),
        ("opens", np.int64),
        ("closes", np.int64),
        ("water", np.float64),
        ("septage", np.float64),
        ("empties", np.bool_),
        ("demand", np.int64),
        ("worth", np.int64),
    ],
    align=True,
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
        ("used", np.float64),
        ("room", np.float64),
        ("aboard", np.float64),
        ("capacity", np.int64),
        ("table", np.int64),
        ("most_drive", np.int64),
        ("priced", np.bool_),
        ("regular_to", np.int64),
        ("overtime_percent", np.int64),
        ("even", np.int64),
        ("uneven_percent", np.int64),
        ("kind", np.int64),
    ],
    align=True,
)
UNLIMITED = 2**40


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
        rows[i]["septage"] = visit.septage_gal
    for i, fill in enumerate(problem.fills, len(problem.visits)):
        rows[i]["service"], rows[i]["empties"] = fill.service_s, fill.empties
    return rows, np.array([window for some in windows for window in some], np.int64)


def _write_drivers(day: FlatDay, problem: DayProblem, node_of_end: dict[int, int]) -> None:
    """Write the rows of all technicians."""
    kinds: dict[object, int] = {}
    for k, who in enumerate(problem.technicians):
        row, lunch = day.crew[k], who.lunch
        row["start"], row["end"] = node_of_end[who.start_place], node_of_end[who.end_place]
        row["shift_from"], row["shift_to"] = who.shift_from_s, who.shift_to_s + who.overtime_s
        if lunch is not None:
            row["has_lunch"] = True
            row["lunch_from"], row["lunch_to"] = lunch.from_s, lunch.to_s
            row["lunch_len"] = lunch.duration_s
        row["tank"] = np.inf if who.tank_gal is None else who.tank_gal + WATER_SLACK_GAL
        row["room"] = np.inf if who.room_gal is None else who.room_gal + WATER_SLACK_GAL
        row["used"], row["aboard"] = who.water_used_gal, who.septage_gal
        row["capacity"] = UNLIMITED if who.capacity is None else who.capacity
        row["table"] = who.table
        row["most_drive"] = UNLIMITED if who.most_drive_s is None else who.most_drive_s
        row["priced"] = who.overtime_s > 0 or who.even_s is not None
        row["regular_to"], row["overtime_percent"] = who.shift_to_s, who.overtime_percent
        row["even"] = UNLIMITED if who.even_s is None else who.even_s
        row["uneven_percent"] = who.uneven_percent
        alike = (row.tobytes(), day.able[k].tobytes(), day.extra[k].tobytes())
        row["kind"] = kinds.setdefault(alike, len(kinds))
