"""Drives as they were noted, beside what the roads' speeds say of them."""

from datetime import date

from registry.errors import RangeError
from registry.plan.measured_drives import MeasuredDrive, noted_legs
from registry.plan.ports import KnownRoads
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.roads import RoadConditions
from registry.services.see_day import firm_of
from registry.store import Store, day_notes, days
from registry.store.road_speeds import road_speeds

MOST_DAYS = 400


def compare_drives(
    store: Store, viewer: Viewer, roads: KnownRoads, since: date, until: date
) -> list[MeasuredDrive]:
    """Return every drive of the viewer's firm of which both ends were noted, with its estimate.

    Estimates are those of the speeds set now, with no road closed.

    Raises
    ------
    AccessError
        If the role may not see what the crew did.
    RangeError
        If the dates lie too far apart, or the wrong way round.
    """
    require(viewer, "set road speeds")
    if not 0 <= (until - since).days <= MOST_DAYS:
        raise RangeError(f"Ask for at most {MOST_DAYS} days, the first one first.")
    legs = []
    with store.reading() as session:
        firm_id = firm_of(session, viewer)
        roads = roads.under(RoadConditions(speeds_mph=road_speeds(session, firm_id)))
        for on_date in days.planned_dates(session, firm_id, since, until):
            day = days.day_of(session, firm_id, on_date)
            notes = day_notes.notes_on(session, firm_id, on_date)
            if day is not None and notes:
                legs += [(on_date, *leg) for leg in noted_legs(day, notes)]
    found = []
    for on_date, technician, a, b, measured_s in legs:
        if a.lon_lat is None or b.lon_lat is None:
            continue
        pair = (a.lon_lat, b.lon_lat)
        matrix = roads.travel_times(pair)
        found.append(
            MeasuredDrive(
                on_date=on_date,
                technician=technician,
                begins=a.site,
                ends=b.site,
                measured_s=measured_s,
                estimated_s=float(matrix.travel_s[0, 1]),
                length_m=float(matrix.travel_m[0, 1]),
                classes_m=roads.classes_m(pair)[0],
            )
        )
    return found
