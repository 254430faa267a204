"""Rows of a day that every compiled search walks through: nodes with their hours, technicians.

Rows are numpy structured arrays; the classes here name their fields. The dtypes are the least that
the clocks need; a search that looks at more puts fields of its own before them (numba takes a
row that begins alike for the same row).
"""

from collections.abc import Iterable
from typing import Protocol

import numpy as np
import numpy.typing as npt

from registry.plan.problem import OnDuty

type Ints = npt.NDArray[np.int64]
type SmallInts = npt.NDArray[np.int32]
type Floats = npt.NDArray[np.float64]
type Flags = npt.NDArray[np.bool_]
type Hours = tuple[tuple[int, int], ...]

NO_LIMIT = 1 << 30


class Rows[Row](Protocol):
    """A structured array of one dimension, as compiled code sees it."""

    def __getitem__(self, number: int, /) -> Row:
        """Return one row."""
        ...

    def __len__(self) -> int:
        """Return the number of rows."""
        ...


class Node(Protocol):
    """A stop, or a place where routes start and end; its windows are rows of ``windows``."""

    service: int
    windows_from: int
    windows_to: int
    closes: int
    demand: int


class Driver(Protocol):
    """A technician; ``shift_to`` is the latest return, overtime included."""

    start: int
    end: int
    shift_from: int
    shift_to: int
    has_lunch: bool
    lunch_from: int
    lunch_to: int
    lunch_len: int
    capacity: int
    most_drive: int


NODE_FIELDS = [
    (name, np.int64) for name in ("service", "windows_from", "windows_to", "closes", "demand")
]
DRIVER_FIELDS = [
    ("start", np.int64),
    ("end", np.int64),
    ("shift_from", np.int64),
    ("shift_to", np.int64),
    ("has_lunch", np.bool_),
    ("lunch_from", np.int64),
    ("lunch_to", np.int64),
    ("lunch_len", np.int64),
    ("capacity", np.int64),
    ("most_drive", np.int64),
]


def node_rows(
    stops: Iterable[tuple[int, Hours, int]], dtype: npt.DTypeLike
) -> tuple[npt.NDArray[np.void], Ints]:
    """Return the rows of stops (service in seconds, windows, demand), and all windows (W, 2)."""
    services, hours, demands = zip(*stops, strict=True)
    rows = np.zeros(len(services), dtype)
    upto = np.cumsum([0, *(len(some) for some in hours)])
    rows["service"], rows["demand"] = services, demands
    rows["windows_from"], rows["windows_to"] = upto[:-1], upto[1:]
    rows["closes"] = [some[-1][1] if some else 0 for some in hours]
    windows = [window for some in hours for window in some]
    return rows, np.array(windows, np.int64).reshape(-1, 2)


def write_driver(row: np.void, who: OnDuty, start: int, end: int) -> None:
    """Write the row of a technician whose route starts and ends at given nodes."""
    row["start"], row["end"] = start, end
    row["shift_from"], row["shift_to"] = who.shift_from_s, who.shift_to_s + who.overtime_s
    if who.lunch is not None:
        row["has_lunch"] = True
        row["lunch_from"], row["lunch_to"] = who.lunch.from_s, who.lunch.to_s
        row["lunch_len"] = who.lunch.duration_s
    row["capacity"] = NO_LIMIT if who.capacity is None else who.capacity
    row["most_drive"] = NO_LIMIT if who.most_drive_s is None else who.most_drive_s
