"""Who works alone and has not reported in time: not arrived, or on site for too long."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from datetime import datetime

from registry.plan.from_day import second_of
from registry.plan.running import AT_STOP
from registry.records.day import Day, Route, Stop
from registry.records.day_notes import DayNote, NoteKind
from registry.units import MIN_PER_DAY, S_PER_MIN

UNPLANNED_MIN = 60
"""Minutes that a visit takes which no plan tells of; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Silence:
    """A technician who is not heard of. Times are minutes after local midnight.

    ``on_site``: came at ``since_min`` and should be over by ``expected_min``; else should have
    arrived by ``expected_min``, last noted at ``since_min``, None = nothing is noted of the date.
    ``stop`` None = a site that is on no route of the technician; ``site_id`` names it.
    """

    technician_id: int
    technician: str
    site_id: int
    stop: Stop | None
    on_site: bool
    since_min: int | None
    expected_min: int


def silences(
    day: Day,
    notes: Sequence[DayNote],
    crews: Collection[int],
    margin_min: int,
    now_min: int,
) -> tuple[Silence, ...]:
    """Return who works alone and has not reported within the planned minutes and a margin.

    Who was heard of (a note of its own) is not warned of again until the margin has passed once
    more. Two people at one site at the same time are not alone, nor is a crew of two. Nobody is
    warned of once the date is over, and with a margin of 0 nobody at all.

    Parameters
    ----------
    day
        The plan in force.
    notes
        What was noted about the date.
    crews
        Ids of the technicians who come as two.
    margin_min
        What is granted beyond the plan. [min]
    now_min
        The moment, local minutes after midnight.
    """
    if margin_min <= 0 or now_min >= MIN_PER_DAY:
        return ()
    met = _met(day)
    found = []
    for route in day.routes:
        if route.technician_id in crews:
            continue
        mine = _of(route, notes, now_min)
        silence = _silence(day, route, mine)
        if silence is None or (silence.site_id, route.technician_id) in met:
            continue
        heard = max((one.at_min for one in mine if one.kind is NoteKind.HEARD), default=0)
        if now_min > max(silence.expected_min, heard) + margin_min:
            found.append(silence)
    return tuple(found)


def _of(route: Route, notes: Sequence[DayNote], now_min: int) -> list[DayNote]:
    """Return what tells of a technician so far; a note without a name tells of whose stop it is."""
    sites = {stop.site_id for stop in route.visits}
    mine = [
        one
        for one in notes
        if one.at_min <= now_min
        and (
            one.technician_id == route.technician_id
            or (one.technician_id is None and one.site_id in sites)
        )
    ]
    return sorted(mine, key=lambda one: (one.at_min, one.id))


def _silence(day: Day, route: Route, notes: Sequence[DayNote]) -> Silence | None:
    """Return what the office waits to hear of a technician; None where nothing is open."""
    if not route.visits or any(one.kind is NoteKind.GONE_HOME for one in notes):
        return None
    by_site = {stop.site_id: at for at, stop in enumerate(route.visits)}
    at_stops = [one for one in notes if one.kind in AT_STOP and one.site_id]
    last = at_stops[-1] if at_stops else None
    if last is not None and last.kind is NoteKind.ON_SITE:
        at = by_site.get(last.site_id or 0)
        stop = None if at is None else route.visits[at]
        takes_min = UNPLANNED_MIN if stop is None else _planned_min(day, stop, last.at_min)
        return Silence(
            technician_id=route.technician_id,
            technician=route.technician,
            site_id=last.site_id or 0,
            stop=stop,
            on_site=True,
            since_min=last.at_min,
            expected_min=last.at_min + takes_min,
        )
    told = [by_site[one.site_id or 0] for one in at_stops if one.site_id in by_site]
    following = max(told, default=-1) + 1
    if following >= len(route.visits):
        return None
    stop = route.visits[following]
    late_min = _late_min(day, route, by_site, notes)
    return Silence(
        technician_id=route.technician_id,
        technician=route.technician,
        site_id=stop.site_id,
        stop=stop,
        on_site=False,
        since_min=max((one.at_min for one in notes), default=None),
        expected_min=_minute(day, stop.arrives) + late_min,
    )


def _planned_min(day: Day, stop: Stop, came_min: int) -> int:
    """Return the planned minutes of a stop from coming there on, waiting for its start included."""
    work_min = round((stop.leaves - stop.starts).total_seconds() / S_PER_MIN)
    return max(0, _minute(day, stop.starts) - came_min) + work_min


def _late_min(day: Day, route: Route, by_site: dict[int, int], notes: Sequence[DayNote]) -> int:
    """Return how late a technician is by the last note that says so, never below 0. [min]."""
    late_min = 0.0
    for one in notes:
        at = by_site.get(one.site_id or 0)
        if one.kind is NoteKind.LATE:
            late_min = one.minutes or 0.0
        elif one.kind in AT_STOP and one.kind is not NoteKind.ON_SITE and at is not None:
            late_min = one.at_min - _minute(day, route.visits[at].leaves)
    return max(0, round(late_min))


def _met(day: Day) -> set[tuple[int, int]]:
    """Return site and technician of every stop at which two technicians meet."""
    there: dict[tuple[int, datetime], list[int]] = {}
    for route in day.routes:
        for stop in route.visits:
            there.setdefault((stop.site_id, stop.starts), []).append(route.technician_id)
    return {(site, one) for (site, _), who in there.items() if len(who) > 1 for one in who}


def _minute(day: Day, moment: datetime) -> int:
    return second_of(moment, day.on_date) // S_PER_MIN
