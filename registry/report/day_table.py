"""A day as rows for a table: every stop of every route, then the waiting visits."""

from registry.records.day import Day

COLUMNS = (
    "date", "technician", "arrives", "starts", "leaves", "kind", "site", "place",
    "lon", "lat", "tasks", "minutes", "water_gal", "held", "why",
)  # fmt: skip


def day_rows(day: Day) -> list[dict[str, object]]:
    """Return one row per stop and per waiting visit; moments in ISO 8601 with offset."""
    rows: list[dict[str, object]] = []
    for route in day.routes:
        for stop in route.stops:
            place = stop.lon_lat
            rows.append(
                {
                    "date": day.on_date.isoformat(),
                    "technician": route.technician,
                    "arrives": stop.arrives.isoformat(timespec="minutes"),
                    "starts": stop.starts.isoformat(timespec="minutes"),
                    "leaves": stop.leaves.isoformat(timespec="minutes"),
                    "kind": stop.kind,
                    "site": stop.site,
                    "place": stop.place,
                    "lon": place.lon if place else None,
                    "lat": place.lat if place else None,
                    "tasks": "; ".join(stop.tasks),
                    "minutes": stop.minutes,
                    "water_gal": stop.water_gal,
                    "held": "yes" if stop.held else "",
                    "why": "",
                }
            )
    for one in day.waiting:
        place = one.lon_lat
        rows.append(
            dict.fromkeys(COLUMNS, "")
            | {
                "date": day.on_date.isoformat(),
                "kind": "waiting",
                "site": one.site,
                "place": one.place,
                "lon": place.lon if place else None,
                "lat": place.lat if place else None,
                "tasks": "; ".join(one.tasks),
                "minutes": one.minutes,
                "held": "yes" if one.held else "",
                "why": one.why,
            }
        )
    return rows
