"""The last look at a day before it is saved or handed out: every stop against the records.

``registry.plan.check`` judges routes against the problem; this judges the moments that people will
read against the visits and technicians that the problem was made from, so that a slip between
records and problem is caught too.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date, datetime

from registry.errors import PlanError
from registry.plan.from_records import TWO_PERSON_CREW
from registry.plan.problem import WATER_SLACK_GAL
from registry.records.crew import Technician
from registry.records.day import Day, Route, Stop
from registry.records.visits import DueVisit
from registry.units import MIN_PER_DAY

SECOND = ("second person",)
"""What stands as the task of whoever comes to help."""

SECOND_MIN = 1 / 60
"""Moments are whole seconds, so a length in minutes may miss by as much."""


def check_day(day: Day, visits: Sequence[DueVisit], crew: Sequence[Technician]) -> None:
    """Refuse a day that breaks a window, licence, tank, lunch or hold of the records.

    Raises
    ------
    PlanError
        Naming everything that is wrong.
    """
    due = {visit.site_id: visit for visit in visits}
    people = {who.id: who for who in crew}
    wrong: list[str] = []
    routed: list[int] = []
    began: dict[int, datetime] = {}
    met: list[tuple[int, datetime]] = []
    for route in day.routes:
        who = people.get(route.technician_id)
        if who is None:
            wrong.append(f"{route.technician} is not in the crew.")
            continue
        wrong += _crew_day(day.on_date, route, who)
        wrong += _lunch(route, who)
        wrong += _order(route)
        wrong += _tanks(route, who, due)
        for stop in route.visits:
            visit = due.get(stop.site_id)
            if visit is None:
                wrong.append(f"{stop.site} is not due.")
                continue
            wrong += _times(stop, visit)
            if stop.tasks == SECOND:
                met.append((stop.site_id, stop.starts))
                continue
            routed.append(stop.site_id)
            began[stop.site_id] = stop.starts
            wrong += _leave(day.on_date, stop, visit, who)
    wrong += [
        f"{due[site].site_key} needs {due[site].people} people, who do not meet there."
        for site, starts in began.items()
        if due[site].people > 1 and not (_by_crew(day, site, people) or (site, starts) in met)
    ]
    waiting = [one.site_id for one in day.waiting if one.site_id]
    wrong += [f"Site {one} is told twice." for one in _twice([*routed, *waiting])]
    wrong += [
        f"{visit.site_key} is neither on a route nor waiting."
        for visit in visits
        if visit.site_id not in {*routed, *waiting}
    ]
    if wrong:
        raise PlanError("The day is refused. " + " ".join(wrong))


def _minute(moment: datetime) -> float:
    """Return the wall clock's minutes after midnight."""
    return moment.hour * 60 + moment.minute + moment.second / 60


def _crew_day(on_date: date, route: Route, who: Technician) -> Iterator[str]:
    """Yield what a route breaks of a technician's day."""
    if on_date.weekday() not in who.workdays or on_date in who.days_off or not who.active:
        yield f"{who.name} is off on {on_date.isoformat()}."
    latest_min = who.shift_to_min + who.overtime_min
    if _minute(route.leaves) < who.shift_from_min or _minute(route.returns) > latest_min:
        yield f"{who.name} is out beyond the shift."


def _lunch(route: Route, who: Technician) -> Iterator[str]:
    """Yield what is wrong with lunch."""
    if who.lunch_from_min is None or who.lunch_to_min is None or who.lunch_min <= 0:
        return
    taken = [stop for stop in route.stops if stop.kind == "lunch"]
    if not taken and _minute(route.returns) > who.lunch_to_min:
        yield f"{who.name} has no lunch."
    for stop in taken:
        if not who.lunch_from_min <= _minute(stop.starts) <= who.lunch_to_min:
            yield f"{who.name} has lunch outside the lunch hours."
        if (stop.leaves - stop.starts).total_seconds() < who.lunch_min * 60:
            yield f"The lunch of {who.name} is cut short."


def _order(route: Route) -> Iterator[str]:
    """Yield where a route's moments leave no time for the drive, or run backwards."""
    now = route.leaves
    drive_from = route.leaves
    driven_s = lunch_s = 0.0
    for stop in route.stops:
        if not stop.arrives <= stop.starts <= stop.leaves or stop.starts < now:
            yield f"{route.technician}: the moments of {stop.site or stop.place} run backwards."
        now = stop.leaves
        if stop.kind == "lunch":
            lunch_s += (stop.leaves - stop.starts).total_seconds()
            continue
        # Lunch may fall before, on or after the drive; the stretch must have room for both.
        if (stop.starts - drive_from).total_seconds() < stop.drive_s + lunch_s:
            yield f"{route.technician}: no time for the drive to {stop.site or stop.place}."
        driven_s += stop.drive_s
        drive_from, lunch_s = stop.leaves, 0.0
    back_s = route.drive_s - driven_s
    if back_s < 0 or (route.returns - drive_from).total_seconds() < back_s + lunch_s:
        yield f"{route.technician}: no time for the drive back."


def _tanks(route: Route, who: Technician, due: Mapping[int, DueVisit]) -> Iterator[str]:
    """Yield where water or the room for septage does not last."""
    tank_gal = who.truck.water_gal if who.truck else None
    room_gal = who.truck.septage_gal if who.truck else None
    used_gal = aboard_gal = 0.0
    for stop in route.stops:
        if stop.kind == "fill":
            used_gal = 0.0
        if stop.kind == "disposal":
            aboard_gal = 0.0
        if stop.kind != "visit" or stop.tasks == SECOND or stop.site_id not in due:
            continue
        used_gal += due[stop.site_id].water_bring_gal
        aboard_gal += due[stop.site_id].septage_gal
        if tank_gal is not None and used_gal > tank_gal + WATER_SLACK_GAL:
            yield f"{stop.site}: {who.name} is {used_gal - tank_gal:.1f} gal of water short."
        if room_gal is not None and aboard_gal > room_gal + WATER_SLACK_GAL:
            yield f"{stop.site}: {who.name} lacks room for {aboard_gal - room_gal:.1f} gal."


def _by_crew(day: Day, site: int, people: Mapping[int, Technician]) -> bool:
    """Tell whether a crew of two makes a visit."""
    return any(
        stop.site_id == site and TWO_PERSON_CREW in people[route.technician_id].skills
        for route in day.routes
        for stop in route.visits
        if route.technician_id in people
    )


def _times(stop: Stop, visit: DueVisit) -> Iterator[str]:
    """Yield what a stop breaks of its visit's hours."""
    starts_min = _minute(stop.starts)
    if not any(opens <= starts_min <= closes for opens, closes in visit.windows):
        yield f"{stop.site} starts at {stop.starts:%H:%M}, outside its windows."
    made_min = (stop.leaves - stop.starts).total_seconds() / 60
    if made_min < visit.service_min - SECOND_MIN:
        yield f"{stop.site} is cut short."
    promised = visit.hold
    if promised is not None and not (
        (promised.from_min or 0) <= starts_min <= (promised.to_min or MIN_PER_DAY)
    ):
        yield f"{stop.site} starts at {stop.starts:%H:%M}, outside the hours promised."


def _leave(on_date: date, stop: Stop, visit: DueVisit, who: Technician) -> Iterator[str]:
    """Yield what a technician lacks for a visit."""
    if lacking := set(visit.skills) - set(who.skills):
        yield f"{stop.site} needs {', '.join(sorted(lacking))}, which {who.name} has not."
    for kind in visit.licences:
        if not any(
            licence.kind == kind
            and licence.jurisdiction in ("", visit.jurisdiction)
            and (licence.valid_from or on_date) <= on_date <= (licence.valid_to or on_date)
            for licence in who.licences
        ):
            yield f"{stop.site} needs a {kind} licence, which {who.name} has not on that day."
    if visit.hold and visit.hold.technician_id not in (None, who.id):
        yield f"{stop.site} is held to another technician than {who.name}."


def _twice(sites: Sequence[int]) -> list[int]:
    """Return what stands in a list more than once."""
    return sorted({site for site in sites if sites.count(site) > 1})
