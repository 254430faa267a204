"""A day of which a part is done: that stays on its lines, and the rest is ordered anew.

Whoever orders again comes here, from what is open or from all that is due, so that one day has one
past.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from registry.plan.check import check
from registry.plan.check_hours import check_hours
from registry.plan.day import planned_day
from registry.plan.done import implied_notes
from registry.plan.from_day import AtHand
from registry.plan.gaps import Clocks
from registry.plan.problem import Solution
from registry.plan.reorder import OpenDay, open_day, unpriced
from registry.plan.rest_of_day import whole_day
from registry.plan.running import AT_STOP, where_all_are
from registry.records.day import Day
from registry.records.day_notes import DayNote, NoteKind
from registry.services.day_at_hand import DayAtHand
from registry.services.done_stops import told_done
from registry.services.pose_day import lines_of, with_all_waiting
from registry.store import Session, day_notes, days, names
from registry.units import MIN_PER_DAY, S_PER_MIN

OF_THE_PAST = (*AT_STOP, NoteKind.GONE_HOME)
"""Notes after which a day has begun."""

type Search = Callable[[OpenDay], Solution]


@dataclass(frozen=True, slots=True, kw_only=True)
class Begun:
    """A plan in force of which something is done, what was noted, and when the rest begins."""

    day: Day
    notes: tuple[DayNote, ...]
    at_min: int


def begun_day(session: Session, firm_id: int, on_date: date, now: datetime) -> Begun | None:
    """Return a date's plan if something of it is done, with all notes; None where nothing is.

    The rest begins now, if the date is today, and not before the last news of it.
    """
    day = days.day_of(session, firm_id, on_date)
    if day is None:
        return None
    day = told_done(session, day)
    said = day_notes.notes_on(session, firm_id, on_date)
    notes = (*said, *implied_notes(day, said, MIN_PER_DAY))
    past = [one.at_min for one in notes if one.kind in OF_THE_PAST]
    if not past:
        return None
    here = now.astimezone(ZoneInfo(names.zone_of_firm(session, firm_id)))
    clock_min = here.hour * 60 + here.minute if here.date() == on_date else 0
    return Begun(day=day, notes=notes, at_min=max(clock_min, *past))


def open_part(at_hand: DayAtHand, begun: Begun | None) -> DayAtHand:
    """Return the plan in force without what is done, from where everybody is."""
    if begun is None:
        return at_hand
    now_s = begun.at_min * S_PER_MIN
    open_ = open_day(
        at_hand.plan,
        at_hand.day,
        where_all_are(at_hand.day, begun.notes, now_s),
        begun.notes,
        at_hand.posed.records.places,
        now_s,
    )
    plan = AtHand(problem=open_.problem, routes=open_.routes, appointed=open_.appointed)
    return replace(at_hand, plan=plan, known=Clocks(plan.fixed))


def order_rest(
    at_hand: DayAtHand,
    notes: Sequence[DayNote],
    at_min: int,
    search: Search,
    *,
    move_price_s: int = 0,
    seed: int = 0,
) -> Day:
    """Return a day whose open part is ordered by a search, checked before it is told.

    Parameters
    ----------
    at_hand
        The plan in force.
    notes
        What is known by then, the visits that were recorded and not noted included.
    at_min
        From when on, minutes after local midnight.
    search
        Orders the open part.
    move_price_s
        What it costs to take a visit off its technician's route. [s]
    seed
        Noted on the day.

    Raises
    ------
    PlanError
        If the plan breaks a limit.
    """
    now_s, posed = at_min * S_PER_MIN, at_hand.posed
    open_ = open_day(
        at_hand.plan,
        at_hand.day,
        where_all_are(at_hand.day, notes, now_s),
        notes,
        posed.records.places,
        now_s,
        move_price_s,
    )
    found = search(open_)
    check(open_.problem, found.routes, appointed=found.appointed, required_may_wait=True)
    rest = planned_day(
        unpriced(open_.problem),
        found,
        posed.records,
        firm_id=posed.known.firm_id,
        seed=seed,
    )
    check_hours(rest, open_.problem, posed.records.places)
    rest = with_all_waiting(rest, posed)
    return whole_day(open_, rest, notes, posed.records, lines_of(posed))
