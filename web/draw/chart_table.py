"""The time–distance chart as a table: every stop in words, for readers of any kind."""

from dataclasses import dataclass

from registry.records.day import Day, Route, Stop
from web.present import between, clock, duration, miles

KIND_WORDS = {"fill": "fills the water tank", "lunch": "lunch"}


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


def chart_table(day: Day, zone: str) -> tuple[ChartRow, ...]:
    """Return the stops of all routes, technician by technician, each with the way home."""
    rows: list[ChartRow] = []
    for route in day.routes:
        rows.extend(_row(route, stop, zone) for stop in route.stops)
        if route.stops:
            rows.append(_home(route, zone))
    return tuple(rows)


def _row(route: Route, stop: Stop, zone: str) -> ChartRow:
    waits = stop.starts > stop.arrives
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
        waits=between(stop.arrives, stop.starts) if waits else "",
        drive=_drive(stop.drive_s, stop.drive_m),
        held=stop.held,
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
        site="back at the yard",
        arrives=clock(route.returns, zone),
        drive=_drive(max(drive_s, 0.0), max(drive_m, 0.0)),
    )


def _drive(drive_s: float, drive_m: float) -> str:
    return f"{duration(drive_s)}, {miles(drive_m)}" if drive_s or drive_m else ""
