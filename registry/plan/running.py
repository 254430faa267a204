"""Where everybody is on a day that runs: what is done, what is under way, what is still open.

Told from the plan and the notes made so far. Between notes a technician is taken to be as late as
the last note says; a stop that should be over by then counts as done. Who is on the way to a stop
is not called back: that stop counts as under way.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from registry.plan.from_day import second_of
from registry.records.day import Day, Route, Stop
from registry.records.day_notes import DayNote, NoteKind
from registry.units import S_PER_MIN

AT_STOP = (NoteKind.ON_SITE, NoteKind.LEFT, NoteKind.DONE, NoteKind.NOT_REACHED)


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """Where one technician is. Moments are seconds after local midnight.

    The first ``fixed`` stops of the route are done or under way, the others are open. ``over_s`` is
    when the last of the fixed ones is over, ``free_s`` when the technician can leave for another
    stop, never before now. ``late_s`` is how far behind the plan, below 0 ahead of it. ``noted``
    says whether any note tells of the technician. ``gone_home``: takes no more stops.
    """

    route: Route
    fixed: int
    free_s: int
    over_s: int = 0
    late_s: int = 0
    noted: bool = False
    gone_home: bool = False

    @property
    def done(self) -> tuple[Stop, ...]:
        """The stops that stay as they are."""
        return self.route.stops[: self.fixed]

    @property
    def open(self) -> tuple[Stop, ...]:
        """The stops that may still be ordered otherwise."""
        return self.route.stops[self.fixed :]

    @property
    def has_lunch_behind(self) -> bool:
        """Whether lunch is over, or under way."""
        return any(stop.kind == "lunch" for stop in self.done)


def where_all_are(day: Day, notes: Sequence[DayNote], now_s: int) -> tuple[Standing, ...]:
    """Return where the technician of each route is at a moment."""
    return tuple(_where(day, route, notes, now_s) for route in day.routes)


def _where(day: Day, route: Route, notes: Sequence[DayNote], now_s: int) -> Standing:
    """Return where one technician is: what was noted, then what should have happened since."""
    numbers = {stop.site_id: at for at, stop in enumerate(route.stops) if stop.site_id}
    past, left_s, late_s, noted, home_s = 0, _second(day, route.leaves), 0, False, None
    for note in sorted(notes, key=lambda one: (one.at_min, one.id)):
        at = numbers.get(note.site_id or 0)
        mine = note.technician_id == route.technician_id
        if note.at_min * S_PER_MIN > now_s:
            continue
        if note.kind in AT_STOP and at is not None:
            free_s = _free_s(day, route.stops[at], note)
            late_s, noted = free_s - _second(day, route.stops[at].leaves), True
            if at + 1 >= past:
                past, left_s = at + 1, free_s
        elif mine and note.kind is NoteKind.LATE:
            late_s, noted = round((note.minutes or 0.0) * S_PER_MIN), True
        elif mine and note.kind is NoteKind.GONE_HOME:
            home_s, noted = note.at_min * S_PER_MIN, True
    if not past:
        left_s += max(0, late_s)
    standing = Standing(
        route=route,
        fixed=past,
        free_s=left_s,
        late_s=late_s,
        noted=noted,
        gone_home=home_s is not None,
    )
    standing = _gone_on(day, standing, now_s if home_s is None else home_s)
    if not standing.fixed:
        return replace(standing, free_s=max(now_s, _second(day, route.shift[0])))
    over_s = standing.free_s if home_s is None else max(standing.free_s, home_s)
    return replace(standing, free_s=max(now_s, over_s), over_s=over_s)


def _gone_on(day: Day, standing: Standing, now_s: int) -> Standing:
    """Return where a technician is who went on by the plan since the last note.

    Who goes home leaves a stop that is not over to somebody else; a slot kept free is never under
    way.
    """
    route, late_s, left_s, fixed = standing.route, standing.late_s, standing.free_s, standing.fixed
    for at in range(standing.fixed, len(route.stops)):
        stop = route.stops[at]
        if left_s >= now_s:
            break
        late_s = _late_after(stop, late_s)
        leaves_s = _second(day, stop.leaves) + late_s
        if leaves_s > now_s and (standing.gone_home or stop.kind == "free"):
            break
        fixed = at + 1
        if stop.kind != "lunch" or not (
            _second(day, stop.starts) + late_s >= now_s or _at_next_gate(day, route, at)
        ):
            left_s = leaves_s
    return replace(standing, fixed=fixed, free_s=left_s, late_s=late_s)


def _free_s(day: Day, stop: Stop, note: DayNote) -> int:
    """Return when a technician can leave a stop of which a note tells."""
    at_s = note.at_min * S_PER_MIN
    if note.kind is not NoteKind.ON_SITE:
        return at_s
    if stop.window is not None:
        at_s = max(at_s, _second(day, stop.window[0]))
    return at_s + round((stop.leaves - stop.starts).total_seconds())


def _late_after(stop: Stop, late_s: int) -> int:
    """Return how late somebody leaves a stop who came so late: waiting there is saved."""
    if late_s > 0:
        return max(0, late_s - round((stop.starts - stop.arrives).total_seconds()))
    return 0


def _at_next_gate(day: Day, route: Route, lunch: int) -> bool:
    """Tell whether lunch is taken on arriving at the next stop, before its work."""
    if lunch + 1 >= len(route.stops):
        return False
    left_s = _second(day, route.stops[lunch - 1].leaves if lunch else route.leaves)
    driven_s = _second(day, route.stops[lunch].starts) - left_s
    return driven_s >= route.stops[lunch + 1].drive_s


def _second(day: Day, moment: datetime) -> int:
    return second_of(moment, day.on_date)
