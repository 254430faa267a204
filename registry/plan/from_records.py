"""The day's problem from the records: who is on duty, what is due, where the roads lead."""

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

import numpy as np
import numpy.typing as npt

from registry.plan.problem import (
    UNREACHABLE_S,
    DayFill,
    DayProblem,
    DayVisit,
    LeftOut,
    Lunch,
    Matrix64,
    OnDuty,
    Window,
)
from registry.plan.words import WhyWord
from registry.records.crew import FillPoint, Licence, Technician
from registry.records.places import LonLat
from registry.records.visits import DueVisit
from registry.units import MIN_PER_DAY, S_PER_MIN

TWO_PERSON_CREW = "two-person crew"
"""A technician with this skill brings a second person along."""
PAIR = 2
"""So many technicians can meet at a site."""


def is_on_duty(technician: Technician, on_date: date) -> bool:
    """Tell whether a technician works on a date."""
    return (
        technician.active
        and on_date.weekday() in technician.workdays
        and on_date not in technician.days_off
        and technician.shift_from_min < technician.shift_to_min
    )


def licence_word(kind: str, jurisdiction: str = "") -> str:
    """Return the word by which a licence is asked for and held."""
    return f"{kind} licence for {jurisdiction}" if jurisdiction else f"{kind} licence"


def is_valid(licence: Licence, on_date: date) -> bool:
    """Tell whether a licence is valid on a date, its first and last day included."""
    begun = licence.valid_from is None or licence.valid_from <= on_date
    return begun and (licence.valid_to is None or on_date <= licence.valid_to)


def day_places(
    visits: Sequence[DueVisit],
    crew: Sequence[Technician],
    fill_points: Sequence[FillPoint],
    *,
    yard: LonLat | None,
    on_date: date,
    outside: Iterable[LonLat] = (),
) -> tuple[LonLat, ...]:
    """Return the places of a day, each once, in a fixed order: what a road engine is asked for."""
    starts = [who.home or yard for who in crew if is_on_duty(who, on_date)]
    known = [*starts, *(fill.lon_lat for fill in fill_points), *(v.lon_lat for v in visits)]
    known += outside
    return tuple(dict.fromkeys(place for place in known if place is not None))


def day_problem(
    visits: Sequence[DueVisit],
    crew: Sequence[Technician],
    fill_points: Sequence[FillPoint],
    travel_s: npt.NDArray[np.float64],
    travel_m: npt.NDArray[np.float64],
    on_date: date,
    *,
    places: Sequence[LonLat],
    yard: LonLat | None,
) -> DayProblem:
    """Return the problem of one date.

    Parameters
    ----------
    visits
        What is due, one visit per site.
    crew
        All technicians of the firm; those who are off that day are left out.
    fill_points
        Where tanks are filled.
    travel_s, travel_m
        Driving between ``places``, shape (n, n), nan where no road leads. [s], [m]
    on_date
        The day; licences count if they are valid on it.
    places
        What ``day_places`` returned.
    yard
        Where technicians without a home of their own start and end.

    ``registry.plan.day_extras`` adds what firm and dispatcher ask of the day besides.
    """
    number_of = {place: i for i, place in enumerate(places)}
    asked = {(kind, visit.jurisdiction) for visit in visits for kind in visit.licences}
    on_duty, ids, notes = [], [], []
    for who in crew:
        start = who.home or yard
        if not is_on_duty(who, on_date):
            notes.append(f"{who.name} is off on {on_date.isoformat()}.")
        elif start is None:
            notes.append(f"{who.name} has neither a home nor a yard to start from: set one.")
        else:
            on_duty.append(_on_duty(who, number_of[start], on_date, asked))
            ids.append(who.id)
            if on_duty[-1].tank_gal is None and any(visit.water_bring_gal for visit in visits):
                notes.append(f"The water aboard is not known for {who.name}, so it is not checked.")
    kept: list[DayVisit] = []
    left_out: list[LeftOut] = []
    largest_crew = max((who.people for who in on_duty), default=1)
    for visit in visits:
        out = _left_out(visit, on_date, ids, {who.id: who.name for who in crew}, largest_crew)
        if out is not None:
            left_out.append(out)
        elif visit.lon_lat is not None:
            kept.append(_day_visit(visit, number_of[visit.lon_lat], ids))
    return DayProblem(
        name=on_date.isoformat(),
        travel_s=whole(travel_s),
        travel_m=whole(travel_m),
        technicians=tuple(on_duty),
        visits=tuple(kept),
        fills=tuple(_day_fill(fill, number_of[fill.lon_lat]) for fill in fill_points),
        left_out=tuple(left_out),
        notes=tuple(notes),
    )


def whole(travel: npt.NDArray[np.float64]) -> Matrix64:
    """Return travel in whole units, rounded up, which keeps the triangle inequality."""
    reachable = np.isfinite(travel)
    rounded = np.ceil(np.where(reachable, travel, 0.0) - 1e-6)
    return np.where(reachable, rounded, UNREACHABLE_S).astype(np.int64)


def windows_s(windows_min: Iterable[tuple[int, int]]) -> tuple[Window, ...]:
    """Return windows in seconds, in order, with those that touch or overlap made one."""
    joined: list[Window] = []
    for opens_min, closes_min in sorted(windows_min):
        opens, closes = opens_min * S_PER_MIN, closes_min * S_PER_MIN
        if joined and opens <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], closes))
        else:
            joined.append((opens, closes))
    return tuple(joined)


def _on_duty(who: Technician, place: int, on_date: date, asked: set[tuple[str, str]]) -> OnDuty:
    """Return a technician as the day knows them."""
    words = set(who.skills)
    lapsed: dict[str, date | None] = {}
    for kind, jurisdiction in asked:
        held = [
            licence
            for licence in who.licences
            if licence.kind == kind and licence.jurisdiction in ("", jurisdiction)
        ]
        if any(is_valid(licence, on_date) for licence in held):
            words.add(licence_word(kind, jurisdiction))
        elif held:
            ended = [one.valid_to for one in held if one.valid_to and one.valid_to < on_date]
            lapsed[licence_word(kind, jurisdiction)] = max(ended, default=None)
    lunch = None
    if who.lunch_from_min is not None and who.lunch_to_min is not None and who.lunch_min > 0:
        lunch = Lunch(
            from_s=who.lunch_from_min * S_PER_MIN,
            to_s=who.lunch_to_min * S_PER_MIN,
            duration_s=who.lunch_min * S_PER_MIN,
        )
    return OnDuty(
        id=str(who.id),
        name=who.name,
        start_place=place,
        end_place=place,
        shift_from_s=who.shift_from_min * S_PER_MIN,
        shift_to_s=who.shift_to_min * S_PER_MIN,
        lunch=lunch,
        skills=frozenset(words),
        lapsed=tuple(sorted(lapsed.items())),
        tank_gal=who.truck.water_gal if who.truck else None,
        people=2 if TWO_PERSON_CREW in who.skills else 1,
    )


def _left_out(
    visit: DueVisit,
    on_date: date,
    ids: Sequence[int],
    names: Mapping[int, str],
    largest_crew: int,
) -> LeftOut | None:
    """Return why no solver is asked about a visit, None if one is."""
    site = str(visit.site_id)
    holder = visit.hold.technician_id if visit.hold else None
    if visit.lon_lat is None:
        why = (
            "The site has no position yet: locate it by its address, its parcel or on the map,"
            " then order the day again."
        )
        return LeftOut(id=site, why_word=WhyWord.TO_BE_LOCATED, why=why)
    if not visit.windows:
        why = visit.closed_why or f"The site is closed on {on_date.isoformat()}."
        return LeftOut(id=site, why_word=WhyWord.CLOSED, why=why)
    if not ids:
        why = f"Nobody is on duty on {on_date.isoformat()}."
        return LeftOut(id=site, why_word=WhyWord.NOBODY, why=why)
    if holder is not None and holder not in ids:
        why = f"Held to {names.get(holder, 'a technician')}, who is not on duty that day."
        return LeftOut(id=site, why_word=WhyWord.HELD, why=why)
    if visit.people > max(largest_crew, min(len(ids), PAIR)):
        why = (
            f"Needs {visit.people} people there at once, and nobody on duty brings as many along"
            " nor meets another there: send a crew of two, or a larger one."
        )
        return LeftOut(id=site, why_word=WhyWord.NEEDS_TWO, why=why)
    return None


def _day_visit(visit: DueVisit, place: int, ids: Sequence[int]) -> DayVisit:
    """Return a visit as the day knows it."""
    holder = visit.hold.technician_id if visit.hold else None
    licences = {licence_word(kind, visit.jurisdiction) for kind in visit.licences}
    return DayVisit(
        id=str(visit.site_id),
        name=visit.site_name or visit.site_key,
        place=place,
        service_s=round(visit.service_min * S_PER_MIN),
        windows=windows_s(visit.windows),
        skills=frozenset(visit.skills) | licences,
        water_gal=visit.water_bring_gal,
        septage_gal=visit.septage_gal,
        people=visit.people,
        worth_s=max(0, round(visit.worth_s)),
        required=visit.hold is not None,
        held_by=None if holder is None else ids.index(holder),
        days_overdue=visit.days_overdue,
    )


def _day_fill(fill: FillPoint, place: int) -> DayFill:
    """Return a fill point as the day knows it."""
    window = None
    if fill.opens_min is not None or fill.closes_min is not None:
        opens = fill.opens_min or 0
        closes = MIN_PER_DAY if fill.closes_min is None else fill.closes_min
        window = (opens * S_PER_MIN, closes * S_PER_MIN)
    return DayFill(
        id=str(fill.id),
        name=fill.name,
        place=place,
        service_s=round(fill.minutes * S_PER_MIN),
        window=window,
    )
