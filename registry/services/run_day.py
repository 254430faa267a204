"""A day that runs: noting how it goes, and ordering again what is still open."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from registry.errors import ConflictError, NotFoundError, RangeError
from registry.plan.day_changes import moves_between, routes_changed
from registry.plan.done import implied_notes
from registry.plan.ports import RoadEngine, RouteRepairer
from registry.plan.problem import Solution
from registry.plan.reorder import MOVE_PRICE_S, OpenDay
from registry.plan.running import AT_STOP
from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.day import Day
from registry.records.day_notes import DayNote, NoteKind
from registry.records.day_versions import MadeHow, Move
from registry.records.visits import Hold
from registry.services.day_at_hand import day_at_hand
from registry.services.hold_visit import hold_visit
from registry.services.order_rest import Search, order_rest
from registry.services.see_day import firm_of
from registry.store import Session, Store, day_notes, days, names
from registry.store.day_versions import require_in_force
from registry.units import MIN_PER_DAY

ACT = "note how the day goes"
SEARCH_S = 0.5
"""How long the open part is searched for, unless told otherwise. [s]

On days of some 60 visits nothing better came of more: the price of a moved visit holds most of them
where they are."""
AT_SITE = (*AT_STOP, NoteKind.CALL)
OF_SOMEBODY = (NoteKind.LATE, NoteKind.GONE_HOME, NoteKind.HEARD)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reordering:
    """What is wanted: from when, at which price per visit given to somebody else, made from what.

    ``made_from`` None = from the plan in force, whichever that is. ``keep``: the new plan is kept.
    """

    at_min: int
    move_price_s: int = MOVE_PRICE_S
    made_from: int | None = None
    seconds: float | None = None
    rounds: int | None = None
    keep: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Reordered:
    """A day ordered again: what moved, whose owner and which technicians must be told."""

    day: Day
    moves: tuple[Move, ...]
    tell_owners: tuple[Move, ...]
    tell_technicians: tuple[str, ...]


def note(session: Session, viewer: Viewer, said: DayNote, now: datetime) -> int:
    """Keep a note about a day that runs and return its id.

    An alarm call also holds the visit of its site in the hours that were promised.

    Raises
    ------
    AccessError
        If the role may not note how a day goes.
    NotFoundError
        If the site or the technician is not the firm's.
    RangeError
        If the note lacks what its kind needs.
    """
    require(viewer, ACT)
    firm_id = firm_of(session, viewer)
    _refuse_incomplete(said)
    if said.site_id is not None and not names.is_site_of(session, firm_id, said.site_id):
        raise NotFoundError("There is no such site in your firm.")
    known = names.technician_ids(session, firm_id).values()
    if said.technician_id is not None and said.technician_id not in known:
        raise NotFoundError("There is no such technician in your firm.")
    if said.kind is NoteKind.CALL and said.site_id is not None:
        hold = Hold(
            site_id=said.site_id,
            on_date=said.on_date,
            note=said.text or "alarm call",
            from_min=said.from_min,
            to_min=said.to_min,
        )
        hold_visit(session, viewer, hold, now)
    return day_notes.add_note(session, firm_id, replace(said, noted_by=viewer.name), now)


def notes_on(session: Session, viewer: Viewer, on_date: date) -> list[DayNote]:
    """Return what was noted about a date so far."""
    require(viewer, ACT)
    return day_notes.notes_on(session, firm_of(session, viewer), on_date)


def take_back(session: Session, viewer: Viewer, on_date: date, note_id: int) -> None:
    """Take a note back that was made by mistake; the hold of an alarm call stays.

    Raises
    ------
    NotFoundError
        If there is no such note.
    """
    require(viewer, ACT)
    if day_notes.take_back(session, firm_of(session, viewer), on_date, note_id) is None:
        raise NotFoundError(f"There is no note {note_id} about that day.")


def reorder(
    store: Store,
    roads: RoadEngine,
    repairer: RouteRepairer,
    viewer: Viewer,
    on_date: date,
    wanted: Reordering,
    now: datetime,
) -> Reordered:
    """Order again what is still open of a date, from where everybody is.

    Raises
    ------
    AccessError
        If the role may not order days.
    ConflictError
        If another plan is in force than the one that this was made from; nothing is kept then.
    NotFoundError
        If the date is not planned.
    PlanError, RoadError
        As ordering the day raises them.
    """
    require(viewer, "order the day")
    roads.get_ready()
    with store.reading() as session:
        firm_id = firm_of(session, viewer)
        said = tuple(day_notes.notes_on(session, firm_id, on_date))
    at_hand = day_at_hand(store, roads, firm_id, on_date)
    if wanted.made_from not in (None, at_hand.day.number):
        with store.session() as session:
            require_in_force(session, firm_id, on_date, wanted.made_from or 0)
        raise ConflictError("The plan changed just now. Look at the day again.")
    said = tuple(one for one in said if one.at_min <= wanted.at_min)
    recorded = implied_notes(at_hand.day, said, wanted.at_min)
    day = order_rest(
        at_hand,
        (*said, *recorded),
        wanted.at_min,
        _search(repairer, wanted),
        move_price_s=wanted.move_price_s,
    )
    if wanted.keep:
        with store.session() as session:
            day = days.save_day(
                session,
                day,
                made_by=viewer.name,
                now=now,
                made_from=at_hand.day.number,
                made_how=MadeHow.REORDERED,
                note=f"what was open at {_clock(wanted.at_min)}",
            )
    return told(at_hand.day, day, said)


def told(before: Day, after: Day, notes: Sequence[DayNote]) -> Reordered:
    """Return what moved between two plans, and who must be told."""
    moves = moves_between(before, after)
    called = {one.site_id for one in notes if one.kind is NoteKind.CALL}
    return Reordered(
        day=after,
        moves=moves,
        tell_owners=tuple(one for one in moves if one.promised or one.site_id in called),
        tell_technicians=tuple(name for _, name in routes_changed(moves)),
    )


def _search(repairer: RouteRepairer, wanted: Reordering) -> Search:
    """Return what mends the routes as they stand."""
    seconds = SEARCH_S if wanted.seconds is None and wanted.rounds is None else wanted.seconds

    def search(open_: OpenDay) -> Solution:
        return repairer.repair(
            open_.problem,
            open_.routes,
            appointed=open_.appointed,
            seconds=seconds,
            rounds=wanted.rounds,
        )

    return search


def _refuse_incomplete(said: DayNote) -> None:
    if not 0 <= said.at_min <= MIN_PER_DAY:
        raise RangeError("The time lies outside the day. Write it as 10:40.")
    if said.kind in AT_SITE and said.site_id is None:
        raise RangeError("Say at which site.")
    if said.kind in OF_SOMEBODY and said.technician_id is None:
        raise RangeError("Say which technician.")
    if said.kind is NoteKind.HEARD and not said.text.strip():
        raise RangeError("Say how you heard of them.")
    if said.kind is NoteKind.LATE and said.minutes is None:
        raise RangeError("Say how many minutes late.")
    promised = (said.from_min or 0, MIN_PER_DAY if said.to_min is None else said.to_min)
    if promised[0] > promised[1]:
        raise RangeError("The promised hours end before they begin. Give the earlier one first.")


def _clock(minute: int) -> str:
    return f"{minute // 60:02d}:{minute % 60:02d}"
