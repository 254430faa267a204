"""Parts of several days by one clock and one numbering of places, for ``plan.several_days``."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from typing import NamedTuple

import numpy as np

from registry.plan.problem import (
    ANYWHERE,
    DAY_S,
    UNREACHABLE_S,
    DayFill,
    DayProblem,
    DayVisit,
    OnDuty,
    RoadHours,
    Travel,
    Window,
)
from registry.plan.road_hours import road_hours
from registry.records.places import LonLat
from registry.records.visits import DueVisit

type Occasions = dict[int, int]
"""One visit or fill point: its number on each day that has it, by the number of the day."""


class OneDay(NamedTuple):
    """A day's own problem and what it was made from; ``places`` are what its indices mean.

    ``due`` are all visits that are due on the date by their id, those left out included.
    """

    on_date: date
    problem: DayProblem
    places: Sequence[LonLat]
    due: Mapping[str, DueVisit]


class Clock(NamedTuple):
    """When each day begins, counted from the first, and which place of all each of its own is."""

    midnights_s: tuple[int, ...]
    places: tuple[tuple[int, ...], ...]


def one_clock(days: Sequence[OneDay]) -> Clock:
    """Return the common clock of some days, which are in order, and their common places."""
    first = days[0].on_date
    number_of: dict[LonLat, int] = {}
    for one in days:
        for place in one.places:
            number_of.setdefault(place, len(number_of))
    return Clock(
        tuple((one.on_date - first).days * DAY_S for one in days),
        tuple(tuple(number_of[place] for place in one.places) for one in days),
    )


def moved(clock: Clock, day: int, who: OnDuty, table: int) -> OnDuty:
    """Return a technician of a day by the clock and the places of all days."""
    later_s, places, lunch = clock.midnights_s[day], clock.places[day], who.lunch
    return replace(
        who,
        id=f"{who.id}/{day}",
        start_place=places[who.start_place],
        end_place=places[who.end_place],
        shift_from_s=who.shift_from_s + later_s,
        shift_to_s=who.shift_to_s + later_s,
        lunch=lunch and replace(lunch, from_s=lunch.from_s + later_s, to_s=lunch.to_s + later_s),
        table=table,
    )


def moved_fill(clock: Clock, days: Sequence[OneDay], occasions: Occasions) -> DayFill:
    """Return a fill point by the clock and the places of all days."""
    day, number = next(iter(occasions.items()))
    fill = days[day].problem.fills[number]
    place = clock.places[day][fill.place]
    if len(occasions) == len(days) and fill.window is None:
        return replace(fill, place=place)
    opens, closes = fill.window or (0, DAY_S)
    later_s = clock.midnights_s[day]
    return replace(fill, place=place, window=(opens + later_s, closes + later_s))


def moved_visit(clock: Clock, days: Sequence[OneDay], occasions: Occasions) -> DayVisit:
    """Return a visit that may be made on any of its days, in the hours of that day.

    Who may make it is judged by each day's own problem.
    """
    own = {day: days[day].problem.visits[i] for day, i in occasions.items()}
    day, first = next(iter(own.items()))
    waits_s, worth_s = waiting_prices(days, own)
    ruled_out, prices_s = set[int](), list[int]()
    for other, one in enumerate(days):
        for k in range(len(one.problem.technicians)):
            if other in own and one.problem.may_make(k, occasions[other]):
                prices_s.append(own[other].extra_s(k) + waits_s[other])
            else:
                ruled_out.add(len(prices_s))
                prices_s.append(0)
    return replace(
        first,
        place=first.place if first.place == ANYWHERE else clock.places[day][first.place],
        service_s=max(one.service_s for one in own.values()),
        windows=_joined(
            (opens + clock.midnights_s[other], closes + clock.midnights_s[other])
            for other, one in own.items()
            for opens, closes in one.windows
        ),
        skills=frozenset(),
        water_gal=max(one.water_gal for one in own.values()),
        septage_gal=max(one.septage_gal for one in own.values()),
        demand=max(one.demand for one in own.values()),
        worth_s=worth_s,
        held_by=None,
        ruled_out=frozenset(ruled_out),
        usual=None,
        prices_s=tuple(prices_s) if any(prices_s) else (),
    )


def waiting_prices(
    days: Sequence[OneDay], own: Mapping[int, DayVisit]
) -> tuple[dict[int, int], int]:
    """Return what waiting for each day of a visit costs, and what leaving it for none does. [s].

    From one day to the next waiting costs by how much the visit's worth grows, and nothing where
    other work has joined by then: the stop does that much more. ``own`` is the visit by day.
    """
    first_day, first = next(iter(own.items()))
    if first.required or first.id not in days[first_day].due:
        return dict.fromkeys(own, 0), first.worth_s
    wait_s, worth_s = 0, first.worth_s
    work = days[first_day].due[first.id].obligation_ids
    waits_s: dict[int, int] = {}
    for day in range(first_day, len(days)):
        due = days[day].due.get(first.id)
        if due is not None:
            now_s = max(0, round(due.worth_s))
            wait_s += max(0, now_s - worth_s) if due.obligation_ids == work else 0
            worth_s, work = now_s, due.obligation_ids
        waits_s[day] = wait_s
    return waits_s, wait_s + worth_s


def joined_tables(
    clock: Clock, days: Sequence[OneDay]
) -> tuple[tuple[Travel, ...], list[list[int]]]:
    """Return the travel tables of all days, each once, and which of them each day's own are.

    A drive that a day does not know, since nobody asks for it that day, is taken from another day:
    nobody drives it then, and the same roads stay one table.
    """
    size = max(max(places) for places in clock.places) + 1
    anyhow = Travel(*(np.full((size, size), UNREACHABLE_S) for _ in range(2)))
    for one, places in reversed(list(zip(days, clock.places, strict=True))):
        anyhow = _written(anyhow, places, Travel(one.problem.travel_s, one.problem.travel_m))
    tables: list[Travel] = []
    table_of: list[list[int]] = []
    for one, places in zip(days, clock.places, strict=True):
        table_of.append([])
        for own in (Travel(one.problem.travel_s, one.problem.travel_m), *one.problem.more_tables):
            whole = _written(anyhow, places, own)
            # Two tables of one day may be alike now and differ at some hour.
            same = (
                i
                for i, table in enumerate(tables)
                if i not in table_of[-1] and _equal(table, whole)
            )
            number = next(same, len(tables))
            if number == len(tables):
                tables.append(whole)
            table_of[-1].append(number)
    return tuple(tables), table_of


def joined_hours(
    clock: Clock, days: Sequence[OneDay], tables: Sequence[Travel], table_of: Sequence[list[int]]
) -> RoadHours | None:
    """Return how the roads depend on the hour, by the clock and the places of all days."""
    periods = []
    for day, (one, places) in enumerate(zip(days, clock.places, strict=True)):
        for period in one.problem.hours.periods if one.problem.hours is not None else ():
            own = dict(zip(table_of[day], period.tables, strict=True))
            more = (
                _written(table, places, own[i]) if i in own else table
                for i, table in enumerate(tables)
            )
            midnight_s = clock.midnights_s[day]
            periods.append(
                replace(
                    period,
                    from_s=period.from_s + midnight_s,
                    to_s=period.to_s + midnight_s,
                    tables=tuple(more),
                )
            )
    return road_hours(tables, periods)


def _written(table: Travel, places: tuple[int, ...], own: Travel) -> Travel:
    """Return a table with the drives between some places written into it."""
    new = Travel(table.travel_s.copy(), table.travel_m.copy())
    for whole, part in zip(new, own, strict=True):
        whole[np.ix_(places, places)] = part
    return new


def _equal(one: Travel, other: Travel) -> bool:
    return all(np.array_equal(a, b) for a, b in zip(one, other, strict=True))


def _joined(windows: Iterable[Window]) -> tuple[Window, ...]:
    """Return windows in order, those that touch as one."""
    joined: list[Window] = []
    for opens, closes in sorted(windows):
        if joined and opens <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], closes))
        else:
            joined.append((opens, closes))
    return tuple(joined)
