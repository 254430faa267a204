"""Closing stretches of road and opening them again; which of them a day must drive around."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

import shapely

from registry.errors import RangeError
from registry.plan.from_records import is_on_duty
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.closures import Closure, Hours, hours_said, in_force
from registry.records.crew import Technician
from registry.services.forecast_roads import roads_by_water
from registry.services.see_day import firm_of
from registry.store import Author, Session, closures

MOST_SHAPE_POINTS = 20_000
"""More than this is a map layer, not a closure."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayClosures:
    """The closures of one date that a plan looks at, and sentences about their hours."""

    in_force: tuple[Closure, ...]
    notes: tuple[str, ...]


def close_roads(
    session: Session, viewer: Viewer, wanted: Sequence[Closure], now: datetime
) -> list[Closure]:
    """Keep closures of the viewer's firm, all or none, and return them with their ids.

    Raises
    ------
    AccessError
        If the role may not close roads.
    RangeError
        If a closure has no name, ends before it begins, or has far too many points.
    """
    require(viewer, "close a road")
    firm_id = firm_of(session, viewer)
    by = Author(viewer.name, now, "closed roads")
    for one in wanted:
        _check(one)
    return [closures.add_closure(session, replace(one, firm_id=firm_id), by) for one in wanted]


def lift_closure(session: Session, viewer: Viewer, closure_id: int, now: datetime) -> Closure:
    """Open a road again and return its closure.

    Raises
    ------
    AccessError
        If the role may not close roads.
    NotFoundError
        If the viewer's firm has no such closure.
    ConflictError
        If it was lifted before.
    """
    require(viewer, "close a road")
    by = Author(viewer.name, now, "closed roads")
    return closures.lift_closure(session, firm_of(session, viewer), closure_id, by)


def list_closures(
    session: Session, viewer: Viewer, on_date: date | None = None, *, lifted: bool = False
) -> list[Closure]:
    """Return the closures of the viewer's firm; with a date those that hold on it.

    With a date those that the river's forecast makes are among them where the firm heeds it; they
    have the id 0, since they are not kept.

    Raises
    ------
    AccessError
        If the role may not see days.
    """
    require(viewer, "see the day")
    firm_id = firm_of(session, viewer)
    known = closures.closures(session, firm_id, lifted=lifted)
    if on_date is None:
        return known
    water = roads_by_water(session, firm_id, on_date).closures
    return [one for one in (*known, *water) if one.holds_on(on_date)]


def closures_of_day(
    known: Sequence[Closure], crew: Sequence[Technician], on_date: date
) -> DayClosures:
    """Return which closures a day's plan looks at, and what that means where they have hours."""
    shifts: list[Hours] = [
        (who.shift_from_min, who.shift_to_min + who.overtime_min)
        for who in crew
        if is_on_duty(who, on_date)
    ]
    heeded = in_force(known, on_date, shifts)
    notes = []
    for one in known:
        if not one.holds_on(on_date) or one.hours is None:
            continue
        hours = hours_said(one.hours)
        if one in heeded:
            notes.append(
                f"{one.name} is closed {hours}: no drive by it begins before the road opens or "
                "ends after it closes."
            )
        else:
            notes.append(f"{one.name} is closed {hours}, outside all shifts: routes may use it.")
    return DayClosures(in_force=heeded, notes=tuple(notes))


def _check(closure: Closure) -> None:
    if not closure.name.strip():
        raise RangeError("Give the closure a name, as people call the place.")
    if closure.last_on is not None and closure.last_on < closure.first_on:
        raise RangeError(f"A closure from {closure.first_on} cannot end on {closure.last_on}.")
    if shapely.get_num_coordinates(closure.shape) > MOST_SHAPE_POINTS:
        raise RangeError(
            f"{closure.name} has more than {MOST_SHAPE_POINTS:,} points. Close single roads."
        )
