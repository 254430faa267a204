"""A small day on one straight road as it is kept: for tests of days that run."""

from zoneinfo import ZoneInfo

from registry.plan.day import planned_day
from registry.plan.from_day import AtHand, from_day
from registry.plan.problem import DayProblem, RouteCalls, Solution
from registry.plan.stops import DayRecords
from registry.records.crew import Technician
from registry.records.day import Day, RoadsUsed
from registry.records.day_notes import DayNote, NoteKind
from registry.records.places import LonLat
from registry.records.visits import DueVisit
from tests.build import A_DAY
from tests.days import technician, visit

PLACES = [LonLat(-140.0 + number / 100, 45.0) for number in range(6)]
"""Place i of a line, as a position."""


def worker(number: int, **fields):
    """A technician whose id is a number, as kept days have it."""
    return technician(number, **({"id": str(number)} | fields))


def site(number: int, place: int, **fields):
    """A visit of site ``number``, half an hour."""
    return visit(str(number), place, **fields)


def records_of(problem: DayProblem) -> DayRecords:
    """The records that a problem on a line could have been made from."""
    visits = {
        one.id: DueVisit(
            site_id=int(one.id),
            site_key=f"S-{one.id}",
            site_name=one.name,
            lon_lat=PLACES[one.place],
            obligation_ids=(),
            tasks=("filter",),
            service_min=one.service_s / 60,
            due_on=A_DAY,
            days_overdue=0,
            worth_s=one.worth_s,
            water_bring_gal=one.water_gal,
        )
        for one in problem.visits
        if one.id.isdigit()
    }
    crew = {
        who.id: Technician(
            id=int(who.id), name=who.name, initials="T", shift_from_min=480, shift_to_min=1020
        )
        for who in problem.technicians
    }
    return DayRecords(
        on_date=A_DAY,
        zone=ZoneInfo("Etc/GMT+8"),
        places=PLACES,
        visits=visits,
        crew=crew,
        roads=RoadsUsed(source="a line"),
    )


def kept(problem: DayProblem, *routes: RouteCalls, appointed=()) -> Day:
    """A plan of the problem as it is kept."""
    solution = Solution(routes=routes, engine="by hand", appointed=appointed)
    return planned_day(problem, solution, records_of(problem))


def at_hand(problem: DayProblem, day: Day) -> AtHand:
    """The kept plan as routes again."""
    return from_day(day, problem)


def said(kind: NoteKind, hour: int, minute: int = 0, **fields) -> DayNote:
    """A note made at a time of the day."""
    return DayNote(on_date=A_DAY, kind=kind, at_min=60 * hour + minute, **fields)
