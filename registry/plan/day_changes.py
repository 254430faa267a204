"""What differs between two plans of one date, visit by visit, and in words."""

from collections.abc import Iterable
from datetime import tzinfo

from registry.records.day import Day, Stop
from registry.records.day_versions import Move, Placed

LEAST_SHIFT_MIN = 5
"""A visit of the same technician counts as moved from so many minutes on."""
MOST_NAMED = 5
"""Visits named in one sentence; more are counted."""


def moves_between(before: Day | None, after: Day | None) -> tuple[Move, ...]:
    """Return the visits that moved, came onto a route or left it, in the order of the later plan.

    Those that left their route come last. A stop without a site is not compared.
    """
    old, new = _placed(before), _placed(after)
    moved = []
    for key, (stop, now) in new.items():
        was = old[key][1] if key in old else None
        if was is None or _differ(was, now):
            moved.append(_move(stop, was, now))
    moved += [_move(stop, was, None) for key, (stop, was) in old.items() if key not in new]
    return tuple(moved)


def routes_changed(moves: Iterable[Move]) -> tuple[tuple[int, str], ...]:
    """Return the id and name of each technician whose route a change touches."""
    touched = {
        placed.technician_id: placed.technician
        for move in moves
        for placed in (move.before, move.after)
        if placed is not None
    }
    return tuple(sorted(touched.items(), key=lambda one: one[1]))


def move_words(move: Move, zone: tzinfo) -> str:
    """Return one change as words."""
    if move.before is None and move.after is None:
        return f"{move.site}: on no route"
    if move.before is None:
        return f"{move.site}: now {_words(move.after, zone)}"
    if move.after is None:
        return f"{move.site}: was {_words(move.before, zone)}, now on no route"
    if move.before.technician_id == move.after.technician_id:
        was, now = (f"{one.starts.astimezone(zone):%H:%M}" for one in (move.before, move.after))
        return f"{move.site}: {move.after.technician}, {was} now {now}"
    return f"{move.site}: {_words(move.before, zone)}, now {_words(move.after, zone)}"


def own_move_words(move: Move, technician_id: int, zone: tzinfo) -> str:
    """Return one change as words to a technician; empty if it touches another's route only."""
    was, now = (
        one if one is not None and one.technician_id == technician_id else None
        for one in (move.before, move.after)
    )
    at = f"{move.site}, {move.place}" if move.place else move.site
    if was is not None and now is not None:
        begins, instead = (f"{one.starts.astimezone(zone):%H:%M}" for one in (was, now))
        return f"{at}: {instead} in place of {begins}."
    if now is not None:
        return f"{at}: new, {now.starts.astimezone(zone):%H:%M}."
    if was is not None:
        taken = f"given to {move.after.technician}" if move.after else "not today"
        return f"{at}: no longer yours, {taken}."
    return ""


def moves_words(moves: Iterable[Move], zone: tzinfo) -> str:
    """Return what moved as one sentence."""
    told = [move_words(move, zone) for move in moves]
    if not told:
        return "No visit moved."
    more = f"; and {len(told) - MOST_NAMED} more" if len(told) > MOST_NAMED else ""
    return "Moved: " + "; ".join(told[:MOST_NAMED]) + more + "."


def _placed(day: Day | None) -> dict[str, tuple[Stop, Placed]]:
    """Return the stops at sites by what the day calls them."""
    if day is None:
        return {}
    return {
        stop.visit_id or str(stop.site_id): (
            stop,
            Placed(
                technician_id=route.technician_id, technician=route.technician, starts=stop.starts
            ),
        )
        for route in day.routes
        for stop in route.stops
        if stop.site_id and stop.kind == "visit"
    }


def _differ(was: Placed, now: Placed) -> bool:
    apart_min = abs((now.starts - was.starts).total_seconds()) / 60
    return was.technician_id != now.technician_id or apart_min >= LEAST_SHIFT_MIN


def _move(stop: Stop, before: Placed | None, after: Placed | None) -> Move:
    return Move(
        site_id=stop.site_id,
        site=stop.site,
        place=stop.place,
        before=before,
        after=after,
        promised=stop.held and before is not None,
    )


def _words(placed: Placed | None, zone: tzinfo) -> str:
    if placed is None:
        return "on no route"
    return f"{placed.technician} {placed.starts.astimezone(zone):%H:%M}"
