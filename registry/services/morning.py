"""What an office needs before a day: whom to call, what trucks carry, what lapses, what is owed."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta

from registry.errors import RangeError
from registry.privacy import for_role, may, require
from registry.records.calls import CallMade
from registry.records.changes import Role, Viewer
from registry.records.crew import Licence, Technician
from registry.records.day import Day, Route, Stop
from registry.records.places import Site
from registry.records.visits import DueVisit, Hold
from registry.services.due_visits import due_visits
from registry.services.see_day import firm_of
from registry.services.see_reports import ACT as REPORTS
from registry.services.see_reports import ReportsView, see_reports
from registry.services.seen_site import seen_site
from registry.store import Session, calls, crew, days, sites

CALL_AHEAD = timedelta(hours=1)
"""How long before the arrival an owner is called at the latest; common practice, no source."""
NOT_BEFORE = time(8)
"""Nobody is called earlier, local time, but on the day before; common practice, no source."""
LAPSES_WITHIN_DAYS = 30
"""Licences that end within so many days are told; common practice, no source."""
LONGEST_WORDS = 200


@dataclass(frozen=True, slots=True, kw_only=True)
class ToCall:
    """An owner to be called by ``by`` (None: the day before), who comes when, what came of it.

    ``hold`` tells what was promised; ``made`` None = not called yet.
    """

    site_id: int
    site: str
    place: str
    owner: str
    phone: str
    technician: str
    arrives: datetime
    by: datetime | None
    hold: Hold | None
    made: CallMade | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """What a truck carries: water for all visits of its route, tools, and keys or notes on gates.

    ``fills`` counts the stops that fill the tank on the way. ``tank_gal`` None = not known.
    """

    technician: str
    truck: str
    water_gal: float
    tank_gal: float | None
    fills: int
    tools: tuple[str, ...]
    gates: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lapses:
    """A technician's licence that ends soon, or has ended."""

    technician: str
    licence: Licence
    ends_on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Morning:
    """The lists of a morning; ``reports`` None = for a role that is not told what is owed."""

    calls: tuple[ToCall, ...] = ()
    loads: tuple[Load, ...] = ()
    lapses: tuple[Lapses, ...] = ()
    lapses_within_days: int = LAPSES_WITHIN_DAYS
    reports: ReportsView | None = None

    @property
    def is_told(self) -> bool:
        """Whether there is anything to say, be it that nothing is owed."""
        return bool(self.calls or self.lapses) or self.reports is not None


def see_morning(session: Session, viewer: Viewer, day: Day | None, on_date: date) -> Morning:
    """Return the morning's lists of a day as the viewer sees it; a technician sees the own ones.

    Raises
    ------
    AccessError
        If the role may not see days.
    """
    require(viewer, "see the day")
    firm_id = firm_of(session, viewer)
    routes = [one for one in day.routes if one.stops] if day is not None else []
    called = {stop.site_id for route in routes for stop in route.visits}
    known = {one.id: for_role(one, viewer.role) for one in sites.sites(session, called)}
    due = {
        one.site_id: one for one in due_visits(session, firm_id, on_date, site_ids=sorted(called))
    }
    people = crew.technicians(session, firm_id)
    holds = {one.site_id: one for one in days.holds_on(session, firm_id, on_date)}
    made = calls.calls_on(session, firm_id, on_date)
    to_call = [
        _call(route, stop, known[stop.site_id], holds, made)
        for route in routes
        for stop in route.visits
        if stop.site_id in known
    ]
    mine = [
        one
        for one in people
        if viewer.role is not Role.TECHNICIAN or one.id == viewer.technician_id
    ]
    return Morning(
        calls=tuple(sorted(to_call, key=lambda one: one.arrives)),
        loads=tuple(_load(route, {one.id: one for one in people}, known, due) for route in routes),
        lapses=tuple(_lapses(mine, on_date)),
        reports=see_reports(session, viewer, on_date) if may(viewer, REPORTS) else None,
    )


def note_call(
    session: Session, viewer: Viewer, site_id: int, on_date: date, agreed: str, now: datetime
) -> None:
    """Note that an owner was called, and what was agreed.

    Raises
    ------
    AccessError
        If the role may not order days.
    NotFoundError
        If there is no such site, or it is not the viewer's.
    RangeError
        If what was agreed is longer than a note.
    """
    require(viewer, "order the day")
    seen_site(session, viewer, site_id)
    agreed = agreed.strip()
    if len(agreed) > LONGEST_WORDS:
        raise RangeError(f"Write what was agreed in at most {LONGEST_WORDS} letters.")
    call = CallMade(site_id=site_id, on_date=on_date, agreed=agreed, called_at=now)
    calls.add_call(session, firm_of(session, viewer), replace(call, called_by=viewer.name))


def _call(
    route: Route, stop: Stop, site: Site, holds: dict[int, Hold], made: dict[int, CallMade]
) -> ToCall:
    by = stop.arrives - CALL_AHEAD
    return ToCall(
        site_id=site.id,
        site=stop.site,
        place=stop.place,
        owner=site.owner_name,
        phone=site.owner_phone,
        technician=route.technician,
        arrives=stop.arrives,
        by=by if by.time() >= NOT_BEFORE else None,
        hold=holds.get(site.id),
        made=made.get(site.id),
    )


def _load(
    route: Route, people: dict[int, Technician], known: dict[int, Site], due: dict[int, DueVisit]
) -> Load:
    who = people.get(route.technician_id)
    truck = who.truck if who is not None else None
    visits = [due[stop.site_id] for stop in route.visits if stop.site_id in due]
    there = [known[stop.site_id] for stop in route.visits if stop.site_id in known]
    return Load(
        technician=route.technician,
        truck=truck.name if truck else "",
        water_gal=sum(stop.water_gal for stop in route.visits),
        tank_gal=truck.water_gal if truck else None,
        fills=sum(stop.kind == "fill" for stop in route.stops),
        tools=tuple(sorted({tool for visit in visits for tool in visit.tools})),
        gates=tuple((one.key, _gate(one)) for one in there if _gate(one)),
    )


def _gate(site: Site) -> str:
    """Return what to take or know for a gate; the code itself stands on the gate sheet."""
    code = "code on the gate sheet" if site.gate_code else ""
    return "; ".join(words for words in (site.gate_note.rstrip("."), code) if words)


def _lapses(people: Iterable[Technician], on_date: date) -> list[Lapses]:
    last = on_date + timedelta(days=LAPSES_WITHIN_DAYS)
    found = [
        Lapses(technician=who.name, licence=licence, ends_on=licence.valid_to)
        for who in people
        for licence in who.licences
        if licence.valid_to is not None and licence.valid_to <= last
    ]
    return sorted(found, key=lambda one: (one.ends_on, one.technician))
