"""Stops that are done: told on the day, and kept in its problem although nothing is due there."""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace

from registry.plan.day_extras import SECOND_PERSON
from registry.plan.from_day import second_of
from registry.plan.problem import DayProblem
from registry.plan.say import clock
from registry.plan.walk import walked_ft
from registry.records.day import Day, Route, Stop
from registry.records.day_notes import DayNote, NoteKind
from registry.records.visits import DueVisit, Hold
from registry.units import MIN_PER_DAY, S_PER_MIN


def with_done(day: Day, notes: Sequence[DayNote], worked_at: Collection[int]) -> Day:
    """Return a day whose stops say whether they are done: by a note, or by what was recorded.

    Parameters
    ----------
    notes
        What was noted of the date.
    worked_at
        Sites at which a recorded visit of the date did work.
    """
    said = dict.fromkeys(worked_at, "done") | {
        one.site_id: f"done {clock(one.at_min * S_PER_MIN)}"
        for one in notes
        if one.kind is NoteKind.DONE and one.site_id is not None
    }
    return replace(
        day,
        routes=tuple(
            replace(
                route,
                stops=tuple(
                    replace(stop, done=said.get(stop.site_id, "") if stop.kind == "visit" else "")
                    for stop in route.stops
                ),
            )
            for route in day.routes
        ),
    )


def done_like(route: Route, told: Day) -> Route:
    """Return a route whose stops are done where they are on a day that is told."""
    said = {stop.site_id: stop.done for one in told.routes for stop in one.stops if stop.done}
    stops = (replace(one, done=said.get(one.site_id, "")) for one in route.stops)
    return replace(route, stops=tuple(stops)) if said else route


def implied_notes(day: Day, notes: Sequence[DayNote], now_min: int) -> list[DayNote]:
    """Return notes for stops that are recorded and not noted: over by the plan, or by now."""
    told = {one.site_id for one in notes if one.kind is NoteKind.DONE}
    return [
        DayNote(
            on_date=day.on_date,
            kind=NoteKind.DONE,
            at_min=min(now_min, second_of(stop.leaves, day.on_date) // S_PER_MIN),
            site_id=stop.site_id,
        )
        for route in day.routes
        for stop in route.visits
        if stop.done and stop.site_id not in told
    ]


def with_made_visits(
    day: Day, due: Iterable[DueVisit], on_duty: Collection[int]
) -> tuple[DueVisit, ...]:
    """Return what is due, with the visits that are done in place of what is still due there.

    Visits of technicians who are not on duty any more are left as they are.
    """
    made = {
        stop.site_id: _visit_of(day, stop)
        for route in day.routes
        if route.technician_id in on_duty
        for stop in route.visits
        if stop.done and not stop.visit_id.endswith(SECOND_PERSON)
    }
    for route in day.routes:
        for stop in route.visits:
            if stop.visit_id.endswith(SECOND_PERSON) and stop.site_id in made:
                made[stop.site_id] = replace(made[stop.site_id], people=2)
    return (*(one for one in due if one.site_id not in made), *made.values())


def kept_where_done(problem: DayProblem, day: Day) -> DayProblem:
    """Return a problem in which visits that are done stay with whoever made them."""
    numbers = {who.id: k for k, who in enumerate(problem.technicians)}
    makers = {
        stop.visit_id or str(stop.site_id): numbers.get(str(route.technician_id))
        for route in day.routes
        for stop in route.visits
        if stop.done
    }
    visits = (
        replace(one, required=True, held_by=makers[one.id], ruled_out=frozenset())
        if makers.get(one.id) is not None
        else one
        for one in problem.visits
    )
    return replace(problem, visits=tuple(visits))


def _visit_of(day: Day, stop: Stop) -> DueVisit:
    """Return the visit that a stop made, as the plan had it; nothing is due for it any more."""
    windows = ((0, MIN_PER_DAY),)
    if stop.window is not None:
        begins, ends = (second_of(one, day.on_date) // S_PER_MIN for one in stop.window)
        windows = ((begins, ends),)
    return DueVisit(
        site_id=stop.site_id,
        site_key=stop.site,
        site_name=stop.place,
        lon_lat=stop.lon_lat,
        tasks=stop.tasks,
        service_min=stop.minutes - stop.walk_min,
        walk_ft=walked_ft(stop.walk_min),
        water_bring_gal=stop.water_gal,
        windows=windows,
        due_on=day.on_date,
        days_overdue=0,
        worth_s=0.0,
        hold=Hold(site_id=stop.site_id, on_date=day.on_date) if stop.held else None,
    )
