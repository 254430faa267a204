"""A day of which a part is behind: what is done as it was, then the rest as it is ordered now."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from registry.plan.clock import legs_of
from registry.plan.day_roads import LineOf, road_words, waits_for_road, with_line
from registry.plan.reorder import OpenDay
from registry.plan.running import Standing
from registry.plan.stops import DayRecords
from registry.plan.words import WhyWord
from registry.records.day import Day, Route, Stop, Waiting
from registry.records.day_notes import DayNote, NoteKind


def whole_day(
    open_: OpenDay,
    rest: Day,
    notes: Sequence[DayNote],
    records: DayRecords,
    line_of: LineOf | None = None,
) -> Day:
    """Return a whole day: each route's fixed stops, then those of ``rest``.

    ``rest`` is the day that the open part was told as, its routes without lines: each is drawn
    here, from where it begins. A gate that was not reached stays on the route as a missed stop, and
    its visit waits.
    """
    missed = {one.site_id: one for one in notes if one.kind is NoteKind.NOT_REACHED}
    later = {str(route.technician_id): route for route in rest.routes}
    routes = []
    drive_s = 0.0
    for k, (who, standing) in enumerate(
        zip(open_.problem.technicians, open_.standings, strict=True)
    ):
        route = later.get(who.id)
        if standing is not None and standing.fixed:
            route = _joined(open_, k, standing, route, records)
            route = replace(route, stops=tuple(_as_missed(stop, missed) for stop in route.stops))
            drive_s += sum(stop.drive_s for stop in standing.done)
        if route is not None:
            routes.append(with_line(route, records.on_date, line_of))
    held = set(missed)
    waiting = [one for one in rest.waiting if one.site_id not in held]
    return replace(
        rest,
        routes=tuple(routes),
        waiting=(*waiting, *_not_reached(missed, records)),
        cost=rest.cost + drive_s,
    )


def _joined(
    open_: OpenDay,
    k: int,
    standing: Standing,
    rest: Route | None,
    records: DayRecords,
) -> Route:
    """Return a route whose fixed stops come first; without further stops it leads home."""
    old, done = standing.route, standing.done
    drive_s, drive_m = sum(s.drive_s for s in done), sum(s.drive_m for s in done)
    waited_s = sum(
        (s.starts - s.arrives).total_seconds() for s in done if s.kind not in ("lunch", "missed")
    )
    if rest is None:
        leg = legs_of(open_.problem, k, ())[0]
        home = None if leg.is_cut_off else leg.driven(standing.over_s, None)
        if home is None:  # a road closed behind them; how they get home is not known
            return replace(old, stops=done)
        waits = waits_for_road(leg, home, standing.over_s)
        return replace(
            old,
            stops=done,
            drive_s=drive_s + float(home.way.drive_s),
            drive_m=drive_m + float(home.way.drive_m),
            wait_s=waited_s + float(home.sets_off_s - standing.over_s),
            returns=records.at(home.ready_s),
            sets_off_back=records.at(home.sets_off_s) if waits else None,
            roads_back=road_words(leg, home, standing.over_s),
        )
    return replace(
        rest,
        leaves=old.leaves,
        shift=old.shift,
        start=old.start,
        start_yard_s=old.start_yard_s,
        stops=(*done, *rest.stops),
        drive_s=drive_s + rest.drive_s,
        drive_m=drive_m + rest.drive_m,
        wait_s=waited_s + rest.wait_s,
    )


def _as_missed(stop: Stop, missed: Mapping[int | None, DayNote]) -> Stop:
    if stop.kind != "visit" or stop.site_id not in missed:
        return stop
    return replace(stop, kind="missed", tasks=(), water_gal=0.0, place=f"not reached: {stop.place}")


def _not_reached(missed: Mapping[int | None, DayNote], records: DayRecords) -> Iterable[Waiting]:
    """Yield the visits whose gate was not reached, as waiting."""
    for visit in records.visits.values():
        note = missed.get(visit.site_id)
        if note is not None:
            said = f" {note.text}" if note.text else ""
            yield Waiting(
                site_id=visit.site_id,
                site=visit.site_key,
                place=visit.site_name,
                lon_lat=visit.lon_lat,
                tasks=visit.task_words,
                due_on=visit.due_on,
                days_overdue=visit.days_overdue,
                minutes=visit.service_min,
                why_word=str(WhyWord.NOT_REACHED),
                why=f"Not reached at {note.at_min // 60:02d}:{note.at_min % 60:02d}.{said}",
                held=visit.hold is not None,
            )
