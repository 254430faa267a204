"""Published days and instances as problems, and plans written back in their own formats.

``service-day/1`` is a JSON file with whole seconds, metres and litres; the other is the text layout
of M. M. Solomon, "Algorithms for the vehicle routing and scheduling problems with time window
constraints", Operations Research 35(2), 1987. For the latter distances are cut to one decimal, the
convention of the 12th DIMACS implementation challenge (2021–22), and kept in tenths.
"""

import json
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from registry.errors import FileError
from registry.plan.problem import (
    UNREACHABLE_S,
    DayFill,
    DayProblem,
    DayVisit,
    Lunch,
    OnDuty,
    Solution,
)
from registry.units import L_PER_GAL

COLUMNS = 7
TENTHS = 10
HEAD_LINES = 4


@dataclass(frozen=True, slots=True, eq=False)
class Instance:
    """A problem with the format it came in; its cost is in ``1 / per_unit``."""

    problem: DayProblem
    is_service_day: bool
    per_unit: int


def read_instance(path: Path) -> Instance:
    """Read a service day or a Solomon file, told apart by what stands in it.

    Raises
    ------
    FileError
        If the file cannot be read or is neither; says what is missing.
    """
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as wrong:
        raise FileError(f"{path.name} cannot be read: {wrong}.") from wrong
    if text.lstrip().startswith("{"):
        return Instance(_read_service_day(path.name, text), is_service_day=True, per_unit=1)
    return Instance(_read_solomon(path.name, text), is_service_day=False, per_unit=TENTHS)


def plan_document(instance: Instance, solution: Solution) -> dict[str, Any]:
    """Return a plan as ``service-plan/1``, or as lists of customers for a Solomon file."""
    problem = instance.problem
    if not instance.is_service_day:
        routes = [[call.which + 1 for call in calls] for calls in solution.routes if calls]
        return {"routes": routes}
    return {
        "format": "service-plan/1",
        "routes": [
            {
                "technician": who.id,
                "stops": [
                    {"fill": call.which}
                    if call.is_fill
                    else {"visit": problem.visits[call.which].id}
                    for call in calls
                ],
            }
            for who, calls in zip(problem.technicians, solution.routes, strict=True)
            if calls
        ],
    }


def _read_service_day(name: str, text: str) -> DayProblem:
    """Return the problem of a service day."""
    try:
        day = json.loads(text)
    except json.JSONDecodeError as wrong:
        raise FileError(f"{name}, line {wrong.lineno}: not JSON ({wrong.msg}).") from wrong
    if day.get("format") != "service-day/1":
        raise FileError(f"{name}: “format” is {day.get('format')!r}, expected 'service-day/1'.")
    try:
        return _service_day(day)
    except KeyError as wrong:
        raise FileError(f"{name} does not follow service-day/1: {wrong} is missing.") from wrong
    except (TypeError, ValueError, IndexError, AttributeError) as wrong:
        raise FileError(f"{name} does not follow service-day/1: {wrong}.") from wrong


def _service_day(day: Mapping[str, Any]) -> DayProblem:
    """Return the problem of a service day that was read."""
    crew = day["technicians"]
    number_of = {who["id"]: number for number, who in enumerate(crew)}
    latest = max((who["shift"][1] for who in crew), default=0)
    travel_s = np.array(day["travel_s"], np.int64)
    travel_m = np.array(day["travel_m"], np.int64)
    places = len(day["locations"])
    if travel_s.shape != (places, places) or travel_m.shape != (places, places):
        raise ValueError(f"the matrices must have {places} rows and columns")
    return DayProblem(
        name=str(day["name"]),
        travel_s=travel_s,
        travel_m=travel_m,
        technicians=tuple(_on_duty(who) for who in crew),
        visits=tuple(_visit(visit, number_of, latest) for visit in day["visits"]),
        fills=tuple(
            DayFill(
                id=str(number),
                name=f"fill point {number}",
                place=int(fill["location"]),
                service_s=int(fill["service_s"]),
            )
            for number, fill in enumerate(day["fill_points"])
        ),
    )


def _on_duty(who: Mapping[str, Any]) -> OnDuty:
    """Return a technician of a service day."""
    lunch = who["lunch"]
    return OnDuty(
        id=str(who["id"]),
        name=str(who["id"]),
        start_place=int(who["start"]),
        end_place=int(who["end"]),
        shift_from_s=int(who["shift"][0]),
        shift_to_s=int(who["shift"][1]),
        lunch=None
        if lunch is None
        else Lunch(
            from_s=int(lunch["from"]), to_s=int(lunch["to"]), duration_s=int(lunch["duration"])
        ),
        skills=frozenset(who["skills"]),
        tank_gal=None if who["tank_l"] is None else who["tank_l"] / L_PER_GAL,
    )


def _visit(visit: Mapping[str, Any], number_of: Mapping[str, int], latest: int) -> DayVisit:
    """Return a visit of a service day; without windows it is open until the last shift ends."""
    locked = visit["locked"]
    windows = sorted((int(opens), int(closes)) for opens, closes in visit["windows"])
    return DayVisit(
        id=str(visit["id"]),
        name=str(visit["id"]),
        place=int(visit["location"]),
        service_s=int(visit["service_s"]),
        windows=tuple(windows) or ((0, latest),),
        skills=frozenset(visit["skills"]),
        water_gal=visit["water_l"] / L_PER_GAL,
        worth_s=int(visit["penalty_s"]),
        required=bool(visit["required"]),
        held_by=None if locked is None else number_of[locked["technician"]],
        days_overdue=int(visit["days_overdue"]),
    )


def _read_solomon(name: str, text: str) -> DayProblem:
    """Return the problem of a file in Solomon's layout."""
    lines = [line.split() for line in text.splitlines()]
    try:
        at = next(number for number, words in enumerate(lines) if words[:1] == ["NUMBER"])
        vehicles, capacity = (int(word) for word in lines[at + 1])
        rows = np.array(
            [[float(word) for word in words] for words in lines[at + 2 :] if _is_row(words)]
        )
        numbers = rows[:, 0].astype(np.int64)
    except (StopIteration, ValueError, IndexError) as wrong:
        raise FileError(
            f"{name} is neither a service day (JSON) nor in Solomon's layout"
            f" (NUMBER CAPACITY, then rows of {COLUMNS} numbers): {wrong}"
        ) from wrong
    if not np.array_equal(numbers, np.arange(len(rows))):
        raise FileError(f"{name}: customers must be numbered 0, 1, 2, … without gaps.")
    straight = np.hypot(*(rows[:, None, c] - rows[None, :, c] for c in (1, 2)))
    tenths = np.floor(straight * TENTHS + 1e-9).astype(np.int64)
    whole = np.rint(rows * TENTHS).astype(np.int64)
    if whole[:, 4:6].max() >= UNREACHABLE_S:
        raise FileError(f"{name}: due dates must stay below {UNREACHABLE_S // TENTHS}.")
    return DayProblem(
        name=next((words[0] for words in lines if words), name),
        travel_s=tenths,
        travel_m=tenths,
        technicians=tuple(
            OnDuty(
                id=str(number + 1),
                name=f"vehicle {number + 1}",
                start_place=0,
                end_place=0,
                shift_from_s=int(whole[0, 4]),
                shift_to_s=int(whole[0, 5]),
                capacity=capacity,
            )
            for number in range(vehicles)
        ),
        visits=tuple(
            DayVisit(
                id=str(customer),
                name=f"customer {customer}",
                place=customer,
                service_s=int(whole[customer, 6]),
                windows=((int(whole[customer, 4]), int(whole[customer, 5])),),
                demand=int(rows[customer, 3]),
                required=True,
            )
            for customer in range(1, len(rows))
        ),
    )


def _is_row(words: list[str]) -> bool:
    """Tell whether a line holds the numbers of a customer."""
    try:
        return len(words) == COLUMNS and all(np.isfinite(float(word)) for word in words)
    except ValueError:
        return False
