"""What a day comes to, as pairs of words for the list under its chart."""

from registry.records.day import Day
from registry.report.from_best import from_best
from web import present


def day_totals(day: Day, zone: str, *, waiting: int, whole: bool = True) -> list[tuple[str, str]]:
    """Return the totals of a day; what waits and how good it is, only where it is ``whole``."""
    routes = [one for one in day.routes if one.stops]
    drive_s, drive_m = sum(one.drive_s for one in routes), sum(one.drive_m for one in routes)
    last = max((one.returns for one in routes), default=None)
    said = [("On a route", present.count(sum(len(one.visits) for one in routes), "visit"))]
    if whole:
        said.append(("Waiting", present.count(waiting, "visit")))
    said += [
        ("Driving", present.drive(drive_m, drive_s)),
        ("Standing before a gate", present.duration(sum(one.wait_s for one in routes))),
        ("Last one back", present.clock(last, zone) if last else "nobody leaves"),
    ]
    if whole:
        said.append(("How far from the best possible", from_best(day.gap)))
    return said
