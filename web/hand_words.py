"""What a change made by hand comes to, in words and pictures for the Day page."""

from collections.abc import Sequence
from typing import Any

from registry.plan.moves import Routes, Tried
from registry.plan.problem import UNREACHABLE_S
from registry.plan.where_else import Place
from registry.records.day import Day, Route, Stop
from registry.services.change_day import Changed, name_of
from registry.services.day_at_hand import DayAtHand
from web import present
from web.closed_hours import bands_of
from web.day_totals import day_totals
from web.draw.chart_breaks import breaks_of
from web.draw.chart_lines import FILLS
from web.draw.time_distance import time_distance_charts
from web.hand_frame import frame_from, frame_of, to_draw

LUNCH = "lunch"


def state_of(
    hand: DayAtHand, changed: Changed, before: Routes, frame: str, zone: str
) -> dict[str, Any]:
    """Return a changed day as the page shows it.

    Of the charts only those are drawn that differ from what a page with this ``frame`` shows.
    """
    day, problem = changed.day, hand.plan.fixed
    shown = frame_from(frame)
    mine = frame_of(day, zone, shown)
    touched = {
        int(who.id)
        for who, calls, stood in zip(problem.technicians, changed.routes, before, strict=True)
        if calls != stood
    }
    charts = time_distance_charts(
        day, zone, bands_of(day, zone), only=to_draw(mine, shown, touched), span=mine.span
    )
    return {
        "routes": [[name_of(problem, call) for call in calls] for calls in changed.routes],
        "frame": mine.mark,
        "panels": len(charts),
        "charts": {str(number): svg for number, svg in enumerate(charts) if svg},
        "totals": day_totals(day, zone, waiting=changed.waiting),
        "price": price(changed.tried),
        "step": step(changed.step),
        "holds": changed.tried.holds,
        "breaks": _breaks(changed, day),
        "stops": {name: label for route in day.routes for name, label in _labels(route, zone)},
        "told": _told(changed, zone, hand),
    }


def _labels(route: Route, zone: str) -> list[tuple[str, str]]:
    """Return each stop's name with the words that its button says."""
    stops = [stop for stop in route.stops if stop.kind != LUNCH]
    return [
        (stop_name(stop), f"{said(stop, zone)}, stop {n} of {len(stops)} of {route.technician}")
        for n, stop in enumerate(stops, 1)
    ]


def stop_name(stop: Stop) -> str:
    """Return the name by which page and service mean a stop."""
    if stop.kind in FILLS:
        return f"fill:{stop.visit_id}"
    return stop.visit_id or str(stop.site_id)


def said(stop: Stop, zone: str) -> str:
    """Return a stop in words: where, when, whether it is done, what gives way."""
    where = f"{stop.site}, {stop.place}" if stop.site else stop.place
    words = f"{where}, {present.clock(stop.starts, zone)} to {present.clock(stop.leaves, zone)}"
    return ", ".join(filter(None, [words, stop.done, *stop.broken]))


def _breaks(changed: Changed, day: Day) -> list[str]:
    """Return what the changed routes break, in sentences."""
    told = [f"{one.technician}: {words}." for one in day.routes for words in breaks_of(one)]
    return told + [f"{one.text}." for one in changed.tried.off]


def _told(changed: Changed, zone: str, hand: DayAtHand) -> list[str]:
    """Return for each route that differs from the kept plan its lunch, end and water in words."""
    records = hand.posed.records
    told = []
    for seen in changed.tried.routes:
        if not seen.calls:
            continue
        parts = [f"back at {present.clock(records.at(seen.times.returns_s), zone)}"]
        if seen.times.lunch is not None:
            parts.insert(
                0, f"lunch at {present.clock(records.at(seen.times.lunch.starts_s), zone)}"
            )
        aboard = [gal for gal in seen.water_gal if gal is not None]
        if aboard:
            parts.append(f"at the least {present.gallons(max(0.0, min(aboard)))} of water aboard")
        who = hand.plan.problem.technicians[seen.technician].name
        told.append(f"{who}: {', '.join(parts)}.")
    return told


def price(tried: Tried) -> str:
    """Return in words what a changed day costs against the kept plan."""
    if abs(tried.cost_s) >= UNREACHABLE_S:
        return "No road leads to one of the stops."
    parts = [("driving", tried.drive_s), ("waiting visits", tried.waiting_s)]
    other_s = tried.cost_s - tried.drive_s - tried.waiting_s
    parts.append(("overtime and other prices", other_s))
    told = [f"{name} {more(seconds)}" for name, seconds in parts if seconds]
    if not told:
        return "The day costs what it did."
    whole = f"; {more(tried.cost_s)} in all" if len(told) > 1 else ""
    return f"Against the kept plan: {', '.join(told)}{whole}."


def step(tried: Tried) -> str:
    """Return in a few words what the last change did."""
    if abs(tried.cost_s) >= UNREACHABLE_S:
        return "no road leads there"
    return f"the day costs {more(tried.cost_s)}" if tried.cost_s else "the day costs the same"


def more(seconds: int) -> str:
    """Return a change of time in words."""
    if not seconds:
        return "the same"
    return f"{present.duration(abs(seconds))} {'more' if seconds > 0 else 'less'}"


def places_of(
    hand: DayAtHand, left: Routes, places: Sequence[Place], crew: Sequence[str]
) -> list[dict[str, Any]]:
    """Return places for a stop in words; ``left`` are the routes without it."""
    return [
        {
            "who": place.technician,
            "number": place.number,
            "where": f"{crew[place.technician]}, {_between(hand, left, place)}",
            "cost_s": place.cost_s,
            "cost": "no road" if place.cost_s is None else more(place.cost_s),
            "fits": place.fits,
            "breaks": place.breaks,
        }
        for place in places
    ]


def _between(hand: DayAtHand, left: Routes, place: Place) -> str:
    """Return between which stops a place lies."""
    calls = left[place.technician]
    named = [_called(hand, left, place.technician, at) for at in range(len(calls))]
    if not calls:
        return "as the only stop"
    if place.number == 0:
        return f"before {named[0]}"
    if place.number == len(calls):
        return f"after {named[-1]}"
    return f"between {named[place.number - 1]} and {named[place.number]}"


def _called(hand: DayAtHand, left: Routes, technician: int, at: int) -> str:
    """Return what people call a stop: the site's number, else its name."""
    call = left[technician][at]
    if call.is_fill:
        return hand.plan.problem.fills[call.which].name
    visit = hand.plan.problem.visits[call.which]
    known = hand.posed.records.visits.get(visit.id)
    return known.site_key if known is not None else visit.name
