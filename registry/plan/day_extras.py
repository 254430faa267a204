"""What a firm and its dispatcher ask of a day beyond the due visits themselves.

Each function takes a day's problem and returns it with one more thing asked of it.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from registry.plan.daylight import sun_up
from registry.plan.problem import (
    ANYWHERE,
    DAY_S,
    PERCENT,
    DayFill,
    DayProblem,
    DayVisit,
    LeftOut,
    Link,
    OnDuty,
    Window,
)
from registry.plan.words import WhyWord
from registry.records.crew import DisposalSite, Technician
from registry.records.places import Firm, LonLat
from registry.records.visits import DueVisit, Errand, Hold, RuleOut, VisitLink
from registry.units import MIN_PER_DAY, S_PER_MIN

SECOND_PERSON = "/second"
"""Ends the id of the visit that a second technician makes at a site."""
ERRAND = "errand/"
"""Begins the id of an errand."""
KEPT_FREE = "free"
"""The id of the slot kept free for an alarm call."""
DRIVING_SHARE = 1 / 3
"""Driving expected for each second of service, where an even share of the work is worked out."""
DISPOSAL_MIN = 20.0
"""Minutes that emptying a tank truck takes; common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DayExtras:
    """What is asked of a date: the firm's own policy, places outside, the dispatcher's wishes.

    ``promised_later`` are holds of later dates, the next ones first: what is promised then is left
    for then.
    """

    firm: Firm
    zone: str = "UTC"
    disposal_sites: tuple[DisposalSite, ...] = ()
    rule_outs: tuple[RuleOut, ...] = ()
    links: tuple[VisitLink, ...] = ()
    errands: tuple[Errand, ...] = ()
    promised_later: tuple[Hold, ...] = ()


def extra_places(extras: DayExtras) -> tuple[LonLat, ...]:
    """Return the places outside that a day may call at."""
    outside = [one.lon_lat for one in extras.disposal_sites]
    outside += [one.lon_lat for one in extras.errands]
    return tuple(dict.fromkeys(outside))


def with_extras(
    problem: DayProblem,
    extras: DayExtras,
    visits: Sequence[DueVisit],
    crew: Sequence[Technician],
    places: Sequence[LonLat],
    on_date: date,
) -> DayProblem:
    """Return a day with everything asked of it; ``places`` are what the indices mean."""
    number_of = {place: i for i, place in enumerate(places)}
    by_id = {str(who.id): who for who in crew}
    due = {str(visit.site_id): visit for visit in visits}
    problem = _with_limits(problem, by_id)
    if extras.firm.daylight_only:
        problem = _in_daylight(problem, due, places, on_date, ZoneInfo(extras.zone))
    problem = _with_promises(problem, due)
    problem = _without_later(problem, due, extras.promised_later)
    problem = _with_rule_outs(problem, extras.rule_outs)
    problem = _with_second_people(problem)
    problem = _with_links(problem, extras.links)
    problem = _with_errands(problem, extras.errands, number_of)
    problem = _with_disposal(problem, extras.disposal_sites, number_of, on_date)
    problem = _evened(problem, extras.firm.even_work_percent)
    return _with_slot(problem, extras.firm)


def _with_limits(problem: DayProblem, crew: dict[str, Technician]) -> DayProblem:
    """Return a day with overtime, driving limits and room for septage."""

    def limited(who: OnDuty) -> OnDuty:
        record = crew[who.id]
        shift_s = who.shift_to_s - who.shift_from_s
        share = record.driving_percent
        return replace(
            who,
            overtime_s=record.overtime_min * S_PER_MIN,
            overtime_percent=record.overtime_percent,
            most_drive_s=None if share is None else shift_s * share // PERCENT,
            room_gal=record.truck.septage_gal if record.truck else None,
        )

    return replace(problem, technicians=tuple(limited(who) for who in problem.technicians))


def _changed(problem: DayProblem, visits: dict[int, DayVisit | LeftOut]) -> DayProblem:
    """Return a day with some visits changed or left out; it has no links yet."""
    asked = [visits.get(i, visit) for i, visit in enumerate(problem.visits)]
    left = tuple(one for one in asked if isinstance(one, LeftOut))
    return replace(
        problem,
        visits=tuple(one for one in asked if isinstance(one, DayVisit)),
        left_out=(*problem.left_out, *left),
    )


def _in_daylight(
    problem: DayProblem,
    due: dict[str, DueVisit],
    places: Sequence[LonLat],
    on_date: date,
    zone: ZoneInfo,
) -> DayProblem:
    """Return a day whose visits lie between sunrise and sunset, promised hours apart."""
    changed: dict[int, DayVisit | LeftOut] = {}
    for i, visit in enumerate(problem.visits):
        hold = due[visit.id].hold
        sun = sun_up(places[visit.place], on_date, zone)
        if sun is None or (hold is not None and hold.from_min is not None):
            continue
        rises, sets = (_second(one, on_date) for one in sun)
        windows = _within(visit.windows, (rises, sets - visit.service_s))
        if windows:
            changed[i] = replace(visit, windows=windows)
        else:
            why = (
                f"The sun is up from {sun[0]:%H:%M} to {sun[1]:%H:%M}, and work may not start at"
                " the site early enough to end by then."
            )
            changed[i] = LeftOut(id=visit.id, why_word=WhyWord.DARK, why=why)
    return _changed(problem, changed)


def _second(moment: datetime, on_date: date) -> int:
    """Return the wall clock's seconds after the midnight that begins a date."""
    days = (moment.date() - on_date).days
    return days * DAY_S + 60 * S_PER_MIN * moment.hour + S_PER_MIN * moment.minute


def _with_promises(problem: DayProblem, due: dict[str, DueVisit]) -> DayProblem:
    """Return a day in which held visits start in the hours promised to the owner."""
    changed: dict[int, DayVisit | LeftOut] = {}
    for i, visit in enumerate(problem.visits):
        hold = due[visit.id].hold
        if hold is None or (hold.from_min is None and hold.to_min is None):
            continue
        latest = MIN_PER_DAY if hold.to_min is None else hold.to_min
        promised = ((hold.from_min or 0) * S_PER_MIN, latest * S_PER_MIN)
        windows = _within(visit.windows, promised)
        if windows:
            changed[i] = replace(visit, windows=windows)
        else:
            why = f"Promised for {_span(promised)}, when the site is not open. Promise other hours."
            changed[i] = LeftOut(id=visit.id, why_word=WhyWord.PROMISED, why=why)
    return _changed(problem, changed)


def _without_later(
    problem: DayProblem, due: dict[str, DueVisit], promised_later: Sequence[Hold]
) -> DayProblem:
    """Return a day without what is promised for a later date and not for this one too."""
    dates = {str(hold.site_id): hold.on_date for hold in reversed(promised_later)}
    changed: dict[int, DayVisit | LeftOut] = {}
    for i, visit in enumerate(problem.visits):
        if due[visit.id].hold is None and visit.id in dates:
            why = f"Held for {dates[visit.id].isoformat()}. Release it there to have it sooner."
            changed[i] = LeftOut(id=visit.id, why_word=WhyWord.ANOTHER_DAY, why=why)
    return _changed(problem, changed)


def _within(windows: Sequence[Window], span: Window) -> tuple[Window, ...]:
    """Return the parts of windows that lie in a span."""
    cut = [(max(opens, span[0]), min(closes, span[1])) for opens, closes in windows]
    return tuple((opens, closes) for opens, closes in cut if opens <= closes)


def _with_rule_outs(problem: DayProblem, rule_outs: Sequence[RuleOut]) -> DayProblem:
    """Return a day in which technicians stay away from where they are ruled out."""
    number_of = {who.id: k for k, who in enumerate(problem.technicians)}
    changed: dict[int, DayVisit | LeftOut] = {}
    for i, visit in enumerate(problem.visits):
        out = {
            number_of[str(one.technician_id)]
            for one in rule_outs
            if str(one.site_id) == visit.id and str(one.technician_id) in number_of
        }
        if out:
            changed[i] = replace(visit, ruled_out=visit.ruled_out | out)
    return _changed(problem, changed)


def _with_second_people(problem: DayProblem) -> DayProblem:
    """Return a day in which two technicians meet where two people are needed.

    Only where nobody on duty brings a second person along.
    """
    visits, links = list(problem.visits), list(problem.links)
    largest = max((who.people for who in problem.technicians), default=1)
    for i, visit in enumerate(problem.visits):
        if visit.people == 2 and largest < 2:
            visits[i] = replace(visit, people=1)
            second = replace(
                visit,
                id=visit.id + SECOND_PERSON,
                name=f"{visit.name} (second person)",
                people=1,
                skills=frozenset(),
                water_gal=0.0,
                septage_gal=0.0,
                worth_s=0,
                held_by=None,
            )
            visits.append(second)
            links.append(Link(first=i, then=len(visits) - 1, together=True))
    return replace(problem, visits=tuple(visits), links=tuple(links))


def _with_links(problem: DayProblem, links: Sequence[VisitLink]) -> DayProblem:
    """Return a day in which some sites follow each other."""
    number_of = {visit.id: i for i, visit in enumerate(problem.visits)}
    known = [
        (number_of.get(str(one.first_site_id)), number_of.get(str(one.then_site_id)), one)
        for one in links
    ]
    made = [
        Link(first=first, then=then, same_truck=one.same_truck)
        for first, then, one in known
        if first is not None and then is not None
    ]
    lacking = sum(first is None or then is None for first, then, _ in known)
    notes = problem.notes
    if lacking:
        notes += (
            "A site that was to follow another, or to be followed, has no visit that day:"
            f" {lacking} such wish{'es' if lacking > 1 else ''} could not be looked at.",
        )
    return replace(problem, links=(*problem.links, *made), notes=notes)


def _with_errands(
    problem: DayProblem, errands: Sequence[Errand], number_of: dict[LonLat, int]
) -> DayProblem:
    """Return a day with stops at places outside."""
    on_duty = {who.id: k for k, who in enumerate(problem.technicians)}
    visits, left = list(problem.visits), list(problem.left_out)
    for errand in errands:
        holder = None if errand.technician_id is None else str(errand.technician_id)
        if not on_duty or (holder is not None and holder not in on_duty):
            why = "Nobody on duty that day is the one for this errand: give it to somebody else."
            left.append(LeftOut(id=f"{ERRAND}{errand.id}", why_word=WhyWord.HELD, why=why))
            continue
        visits.append(
            DayVisit(
                id=f"{ERRAND}{errand.id}",
                name=errand.name,
                place=number_of[errand.lon_lat],
                service_s=round(errand.minutes * S_PER_MIN),
                windows=((errand.from_min * S_PER_MIN, errand.to_min * S_PER_MIN),),
                required=True,
                held_by=None if holder is None else on_duty[holder],
            )
        )
    return replace(problem, visits=tuple(visits), left_out=tuple(left))


def _with_disposal(
    problem: DayProblem,
    sites: Sequence[DisposalSite],
    number_of: dict[LonLat, int],
    on_date: date,
) -> DayProblem:
    """Return a day with the disposal sites that are open, where septage is taken aboard at all."""
    if not any(visit.septage_gal for visit in problem.visits):
        return problem
    fills = [
        DayFill(
            id=f"disposal/{site.id}",
            name=site.name,
            place=number_of[site.lon_lat],
            service_s=round(DISPOSAL_MIN * S_PER_MIN),
            window=(
                (site.opens_min or 0) * S_PER_MIN,
                (MIN_PER_DAY if site.closes_min is None else site.closes_min) * S_PER_MIN,
            ),
            empties=True,
        )
        for site in sites
        if on_date.weekday() in site.weekdays
    ]
    return replace(problem, fills=(*problem.fills, *fills))


def _evened(problem: DayProblem, percent: int) -> DayProblem:
    """Return a day in which work beyond an even share, by length of shift, costs something."""
    shifts = [who.shift_to_s - who.shift_from_s for who in problem.technicians]
    if not percent or not sum(shifts):
        return problem
    work_s = sum(visit.service_s for visit in problem.visits) * (1 + DRIVING_SHARE)
    part = min(1.0, work_s / sum(shifts))
    crew = [
        replace(who, even_s=round(part * shift), uneven_percent=percent)
        for who, shift in zip(problem.technicians, shifts, strict=True)
    ]
    return replace(problem, technicians=tuple(crew))


def _with_slot(problem: DayProblem, firm: Firm) -> DayProblem:
    """Return a day in which somebody is free for a while, wherever they are by then."""
    if not firm.keep_free_min or not problem.technicians:
        return problem
    latest = (firm.keep_free_by_min - firm.keep_free_min) * S_PER_MIN
    slot = DayVisit(
        id=KEPT_FREE,
        name="kept free for an alarm call",
        place=ANYWHERE,
        service_s=firm.keep_free_min * S_PER_MIN,
        windows=((0, max(0, latest)),),
        required=True,
    )
    return replace(problem, visits=(*problem.visits, slot))


def _span(window: Window) -> str:
    return "–".join(f"{one // 3600:02d}:{one // 60 % 60:02d}" for one in window)
