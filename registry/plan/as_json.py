"""A day as the JSON document that scripts read; its keys stay."""

from typing import Any

from registry.records.day import Day, Route, Stop, Waiting


def day_json(day: Day) -> dict[str, Any]:
    """Return one date's routes as plain values; moments are ISO 8601 with offset."""
    return {
        "date": day.on_date.isoformat(),
        "routes": [_route_json(route) for route in day.routes],
        "waiting": [_waiting_json(waiting) for waiting in day.waiting],
        "cost": day.cost,
        "bound": day.bound,
        "gap": day.gap,
        "roads": {
            "source": day.roads.source,
            "built": day.roads.built.isoformat() if day.roads.built else None,
            "closed": list(day.roads.closed),
            "credit": day.roads.credit,
            "warnings": list(day.roads.warnings),
        },
        "engine": day.engine,
        "seed": day.seed,
        "seconds": day.seconds,
        "rounds": day.rounds,
        "notes": list(day.notes),
        "closed_hours": [
            {"name": one.name, "begins": one.begins.isoformat(), "ends": one.ends.isoformat()}
            for one in day.closed_hours
        ],
    }


def _route_json(route: Route) -> dict[str, Any]:
    """Return one route; lunch and fill stops stand beside the visits."""
    return {
        "technician": route.technician,
        "leaves": route.leaves.isoformat(),
        "returns": route.returns.isoformat(),
        "drive_s": route.drive_s,
        "drive_m": route.drive_m,
        "wait_s": route.wait_s,
        "visits": [_visit_json(stop) for stop in route.visits],
        "breaks": [_break_json(stop) for stop in route.stops if stop.kind != "visit"],
        "roads_back": list(route.roads_back),
    }


def _visit_json(stop: Stop) -> dict[str, Any]:
    """Return one visit on a route."""
    return {
        "site": stop.site,
        "arrives": stop.arrives.isoformat(),
        "starts": stop.starts.isoformat(),
        "leaves": stop.leaves.isoformat(),
        "window": [moment.isoformat() for moment in stop.window] if stop.window else None,
        "tasks": list(stop.tasks),
        "minutes": stop.minutes,
        "walk_min": stop.walk_min,
        "water_gal": stop.water_gal,
        "held": stop.held,
        "sets_off": stop.sets_off.isoformat() if stop.sets_off else None,
        "roads": list(stop.roads),
    }


def _break_json(stop: Stop) -> dict[str, Any]:
    """Return lunch or a stop that fills the tank."""
    return {
        "kind": stop.kind,
        "place": stop.place,
        "starts": stop.starts.isoformat(),
        "leaves": stop.leaves.isoformat(),
    }


def _waiting_json(waiting: Waiting) -> dict[str, Any]:
    """Return one visit that waits, with the sentence and the stable word."""
    return {
        "site": waiting.site,
        "due_on": waiting.due_on.isoformat(),
        "days_overdue": waiting.days_overdue,
        "why": waiting.why,
        "why_word": waiting.why_word,
        "held": waiting.held,
    }
