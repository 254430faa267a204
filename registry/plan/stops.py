"""The stops of a route as people read them: sites, fill and disposal, errands, a slot kept free."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from registry.plan.check_day import SECOND
from registry.plan.clock import CallTimes, LunchTaken
from registry.plan.day_extras import ERRAND, KEPT_FREE, SECOND_PERSON
from registry.plan.problem import Call, DayProblem, LeftOut, Travel, Window
from registry.records.crew import Technician
from registry.records.day import RoadsUsed, Stop, Waiting
from registry.records.places import LonLat
from registry.records.visits import DueVisit
from registry.units import MIN_PER_DAY, S_PER_MIN

ALL_DAY_S = MIN_PER_DAY * S_PER_MIN


def moment(on_date: date, second: int, zone: ZoneInfo) -> datetime:
    """Return a moment from the wall clock's seconds after midnight.

    Wall-clock arithmetic: 09:00 is 09:00 also on the two days a year when the clocks change.
    """
    return (datetime.combine(on_date, time()) + timedelta(seconds=second)).replace(tzinfo=zone)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class DayRecords:
    """The records that a problem was made from, which a day's routes are told in.

    ``places`` are those that the problem's indices mean; ``yard`` is the index of the firm's yard
    among them, None where none is known.
    """

    on_date: date
    zone: ZoneInfo
    places: Sequence[LonLat]
    visits: Mapping[str, DueVisit]
    crew: Mapping[str, Technician]
    roads: RoadsUsed
    yard: int | None = None

    def at(self, second: int) -> datetime:
        """Return a moment of the day."""
        return moment(self.on_date, second, self.zone)

    def span(self, window: Window) -> tuple[datetime, datetime]:
        """Return a window as two moments."""
        return self.at(window[0]), self.at(window[1])


def stop_of(
    problem: DayProblem,
    call: Call,
    when: CallTimes,
    leg: tuple[int, int],
    travel: Travel,
    yard_s: float,
    records: DayRecords,
) -> Stop:
    """Return the stop that a call is; ``leg`` leads from the place before to its own."""
    open_all_day = when.window is None or when.window[1] - when.window[0] >= ALL_DAY_S
    called = (problem.fills if call.is_fill else problem.visits)[call.which]
    plain = Stop(
        visit_id=called.id,
        lon_lat=records.places[leg[1]],
        arrives=records.at(when.arrives_s),
        starts=records.at(when.starts_s),
        leaves=records.at(when.leaves_s),
        window=None if open_all_day or when.window is None else records.span(when.window),
        minutes=called.service_s / S_PER_MIN,
        drive_s=float(travel.travel_s[leg]),
        drive_m=float(travel.travel_m[leg]),
        yard_s=yard_s,
    )
    if call.is_fill:
        fill = problem.fills[call.which]
        return replace(plain, kind="disposal" if fill.empties else "fill", place=fill.name)
    name = problem.visits[call.which].name
    id_ = problem.visits[call.which].id
    if id_ == KEPT_FREE:
        return replace(plain, kind="free", place=name, window=None)
    if id_.startswith(ERRAND):
        return replace(plain, kind="errand", place=name)
    visit = records.visits[id_.removesuffix(SECOND_PERSON)]
    second = id_.endswith(SECOND_PERSON)
    return replace(
        plain,
        site_id=visit.site_id,
        site=visit.site_key,
        place=visit.site_name,
        lon_lat=visit.lon_lat,
        tasks=SECOND if second else visit.task_words,
        water_gal=0.0 if second else visit.water_bring_gal,
        held=visit.hold is not None,
        walk_min=0.0 if second else visit.walk_min,
    )


def lunch_stop(lunch: LunchTaken, yard_s: Sequence[float], records: DayRecords) -> Stop:
    """Return lunch as a stop; its height in the chart lies between the places of its leg."""
    before_s, after_s = yard_s[lunch.before], yard_s[lunch.before + 1]
    starts = records.at(lunch.starts_s)
    return Stop(
        kind="lunch",
        place="lunch",
        arrives=starts,
        starts=starts,
        leaves=records.at(lunch.ends_s),
        minutes=(lunch.ends_s - lunch.starts_s) / S_PER_MIN,
        yard_s=before_s + lunch.share * (after_s - before_s),
    )


def waiting_of(problem: DayProblem, out: LeftOut, records: DayRecords) -> Waiting | None:
    """Return what waits, None for the second person of a visit that is told anyway."""
    if out.id.endswith(SECOND_PERSON):
        return None
    visit = records.visits.get(out.id)
    if visit is None:
        name = next((one.name for one in problem.visits if one.id == out.id), "errand")
        return Waiting(
            site_id=0,
            site=name,
            due_on=records.on_date,
            days_overdue=0,
            why_word=str(out.why_word),
            why=out.why,
        )
    return Waiting(
        site_id=visit.site_id,
        site=visit.site_key,
        place=visit.site_name,
        lon_lat=visit.lon_lat,
        tasks=visit.task_words,
        due_on=visit.due_on,
        days_overdue=visit.days_overdue,
        minutes=visit.service_min,
        why_word=str(out.why_word),
        why=out.why,
        held=visit.hold is not None,
    )
