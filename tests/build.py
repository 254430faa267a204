"""Rows for tests: plain functions with defaults, so that a test names only what it is about."""

from datetime import date, datetime, timedelta, timezone

from registry.records.day import Day, RoadsUsed, Route, Stop, Waiting
from registry.records.places import LonLat

ZONE = timezone(timedelta(hours=-8))
A_DAY = date(2026, 6, 15)


def at(hour: int, minute: int = 0, on: date = A_DAY) -> datetime:
    """A local moment on the day for tests."""
    return datetime(on.year, on.month, on.day, hour, minute, tzinfo=ZONE)


def stop(site: str = "A-1", hour: int = 9, **fields: object) -> Stop:
    """An hour's stop at a site."""
    return Stop(
        **{
            "site_id": 1,
            "site": site,
            "place": f"{hour} Invented Lane",
            "lon_lat": LonLat(-140.0 - hour / 100, 45.0 + hour / 100),
            "arrives": at(hour),
            "starts": at(hour),
            "leaves": at(hour + 1),
            "tasks": ("effluent filter",),
            "minutes": 60.0,
            "yard_s": 600.0,
        }
        | fields
    )


def route(*stops: Stop, **fields: object) -> Route:
    """One technician's route from 08:00 to 16:00."""
    return Route(
        **{
            "technician_id": 1,
            "technician": "Invented Person",
            "initials": "IP",
            "leaves": at(8),
            "returns": at(16),
            "shift": (at(8), at(17)),
            "start": LonLat(-140.0, 45.0),
            "end": LonLat(-140.0, 45.0),
            "drive_s": 3600.0,
            "drive_m": 40_000.0,
            "wait_s": 0.0,
            "stops": stops,
        }
        | fields
    )


def waiting(site: str = "W-1", **fields: object) -> Waiting:
    """A visit on no route."""
    return Waiting(
        **{
            "site_id": 9,
            "site": site,
            "due_on": A_DAY,
            "days_overdue": 0,
            "why_word": "others_worth_more",
            "why": "Others were worth more.",
        }
        | fields
    )


def day(*routes: Route, **fields: object) -> Day:
    """A planned day."""
    return Day(
        **{
            "on_date": A_DAY,
            "firm_id": 1,
            "routes": routes,
            "waiting": (),
            "cost": 3600.0,
            "roads": RoadsUsed(source="invented roads", credit="Invented roads & no real place"),
            "made_at": at(6),
        }
        | fields
    )
