"""The time–distance chart as a table: every stop in words, for readers of any kind."""

from dataclasses import dataclass, replace
from datetime import datetime

from registry.records.day import Day, Route, Stop
from web.present import between, clock, duration, gallons, miles

KIND_WORDS = {"fill": "Fill the water tank", "lunch": "Lunch"}


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartRow:
    """One stop in words; ``kind`` as in the record or "home"; ``site_id`` 0 where there is none."""

    technician: str
    initials: str
    kind: str
    site_id: int = 0
    site: str = ""
    place: str = ""
    arrives: str
    starts: str = ""
    leaves: str = ""
    window: str = ""
    waits: str = ""
    drive: str
    held: bool = False
    tasks: str = ""
    water: str = ""
    roads: tuple[str, ...] = ()
    done: str = ""


def chart_table(day: Day, zone: str) -> tuple[ChartRow, ...]:
    """Return the stops of all routes, technician by technician, each with the way home."""
    return tuple(row for route in day.routes for row in route_table(route, zone))


def route_table(route: Route, zone: str) -> tuple[ChartRow, ...]:
    """Return the stops of one route with the way home, nothing for a route without stops."""
    if not route.stops:
        return ()
    rows: list[ChartRow] = []
    for stop, after in zip(route.stops, (*route.stops[1:], None), strict=True):
        row = _row(route, stop, zone)
        if stop.kind == "lunch":
            row = replace(row, place=_lunch_place(stop, after))
        elif rows and rows[-1].kind == "lunch":
            before = route.stops[len(rows) - 1]
            row = replace(row, waits=_waits(max(stop.arrives, before.leaves), stop.starts))
        rows.append(row)
    return (*rows, _home(route, zone))


def _lunch_place(lunch: Stop, after: Stop | None) -> str:
    """Return where lunch is taken, as far as it can be told."""
    if after is not None and after.arrives <= lunch.starts:
        return f"at the gate of {after.site}" if after.site else f"at {after.place}"
    return "on the way"


def _waits(since: datetime, until: datetime) -> str:
    return between(since, until) if until > since else ""


def _row(route: Route, stop: Stop, zone: str) -> ChartRow:
    return ChartRow(
        technician=route.technician,
        initials=route.initials,
        kind=stop.kind,
        site_id=stop.site_id,
        site=KIND_WORDS.get(stop.kind, stop.site),
        place=stop.place,
        arrives=clock(stop.arrives, zone),
        starts=clock(stop.starts, zone),
        leaves=clock(stop.leaves, zone),
        window=_window(stop, zone),
        waits=_waits(stop.arrives, stop.starts),
        drive=_drive(stop.drive_s, stop.drive_m),
        held=stop.held,
        tasks=", ".join(stop.tasks),
        water=gallons(stop.water_gal) if stop.water_gal else "",
        roads=stop.roads,
        done=stop.done,
    )


def _window(stop: Stop, zone: str) -> str:
    if stop.kind != "visit":
        return ""
    if stop.window is None:
        return "open all day"
    return f"{clock(stop.window[0], zone)}–{clock(stop.window[1], zone)}"


def _home(route: Route, zone: str) -> ChartRow:
    drive_s = route.drive_s - sum(stop.drive_s for stop in route.stops)
    drive_m = route.drive_m - sum(stop.drive_m for stop in route.stops)
    return ChartRow(
        technician=route.technician,
        initials=route.initials,
        kind="home",
        site="Back",
        arrives=clock(route.returns, zone),
        drive=_drive(max(drive_s, 0.0), max(drive_m, 0.0)),
        roads=route.roads_back,
    )


def _drive(drive_s: float, drive_m: float) -> str:
    return f"{duration(drive_s)}, {miles(drive_m)}" if drive_s or drive_m else ""
