"""Seasons for measuring: invented systems on land that is nowhere, by seed.

How many systems are of which kind, how often and how long they are visited are assumptions of ours,
in the range of ``due/defaults.toml``; so are the shares on flood plains and of vacation houses.
"""

from dataclasses import dataclass

import numpy as np

from registry.records.places import LonLat
from registry.season.asked import Owed, Person, SeasonAsked, Terms
from registry.season.problem import week_set
from registry.units import S_PER_H, S_PER_MIN

N_WEEKS = 52
WEST_DEG, SOUTH_DEG = -149.0, 22.0
"""In an ocean."""
M_PER_DEG = 111_195.0
KM2_A_SYSTEM, LEAST_KM2 = 0.5, 3000.0
VILLAGE_EVERY, VILLAGE_M, IN_VILLAGES = 80, 1200.0, 0.6
SYSTEMS_A_YARD = 5000
DRY = range(20, 39)
"""Weeks with dry ground, and of vacation houses' season: mid-May to the end of September."""
WET = (*range(13), *range(45, 52))
FLOOD_SHARE, VACATION_SHARE = 0.08, 0.06
HOURS_A_DAY, DAYS_A_WEEK = 8, 5
DRIVE_MIN = 35.0
"""A drive to each visit, for counting how many people the work asks for."""
BUSY_SHARE = 0.85
"""So much of the people's hours is filled by the work of a year."""


@dataclass(frozen=True, slots=True)
class _Kind:
    """How often a kind is visited, for how long, and how many are of it."""

    step_weeks: int
    minutes: int
    share: float


KINDS = (_Kind(155, 45, 0.35), _Kind(51, 70, 0.45), _Kind(25, 75, 0.13), _Kind(12, 60, 0.07))
"""Every three years, yearly, half-yearly, quarterly: weeks as ``weeks.steps_of`` cuts them."""
PUMP_OUT = _Kind(207, 70, 1.0)
"""Every four years."""


def generated(n_systems: int, seed: int = 1, terms: Terms | None = None) -> SeasonAsked:
    """Return a year of an invented firm with so many systems."""
    chance = np.random.default_rng(seed)
    side_m = 1000 * max(LEAST_KM2, KM2_A_SYSTEM * n_systems) ** 0.5
    villages = chance.random((max(3, n_systems // VILLAGE_EVERY), 2)) * side_m
    inside = chance.random(n_systems) < IN_VILLAGES
    spread = chance.normal(0, VILLAGE_M, (n_systems, 2))
    xy_m = np.where(
        inside[:, None],
        villages[chance.integers(0, len(villages), n_systems)] + spread,
        chance.random((n_systems, 2)) * side_m,
    )
    pumpers, people = _people(n_systems, side_m)
    owed = _owed(n_systems, chance, pumpers, len(people))
    return SeasonAsked(
        n_weeks=N_WEEKS,
        places=tuple(_place(x, y) for x, y in xy_m.tolist()),
        owed=tuple(owed),
        people=people,
        terms=terms or Terms(),
    )


def _owed(n_systems: int, chance: np.random.Generator, pumpers: int, n_people: int) -> list[Owed]:
    kinds = chance.choice(len(KINDS), n_systems, p=[one.share for one in KINDS])
    flood = chance.random(n_systems) < FLOOD_SHARE
    vacation = chance.random(n_systems) < VACATION_SHARE
    every, dry = week_set(range(N_WEEKS)), week_set(DRY)
    crew, pump_crew = frozenset(range(pumpers, n_people)), frozenset(range(pumpers))
    owed = []
    for site in range(n_systems):
        kind = KINDS[kinds[site]]
        allowed = every & ~week_set(WET) if flood[site] else every
        if vacation[site]:
            allowed = dry
            kind = KINDS[1] if kind.step_weeks < KINDS[1].step_weeks else kind
        elif flood[site] and kind.step_weeks < KINDS[2].step_weeks:
            kind = KINDS[2]
        for letter, one, who, weeks in (
            ("m", kind, crew, allowed),
            ("p", PUMP_OUT, pump_crew, dry),
        ):
            due = int(chance.integers(0, one.step_weeks + 1))
            if due < N_WEEKS:
                while not weeks >> due & 1:
                    due = int(chance.integers(0, min(one.step_weeks, N_WEEKS - 1) + 1))
                owed.append(
                    Owed(
                        id=f"{site}{letter}",
                        site=site,
                        people=who,
                        service_s=one.minutes * S_PER_MIN,
                        due_week=due,
                        step_weeks=one.step_weeks,
                        allowed=weeks,
                    )
                )
    return owed


def _people(n_systems: int, side_m: float) -> tuple[int, tuple[Person, ...]]:
    """Return how many pump, and all people, the pumpers first; as many as the work asks for."""
    year_h = sum(n_systems * one.share * _hours_a_year(one) for one in KINDS)
    hours = N_WEEKS * DAYS_A_WEEK * HOURS_A_DAY * BUSY_SHARE
    pump_h = n_systems * _hours_a_year(PUMP_OUT)
    pumpers = int(np.ceil(pump_h / (hours * len(DRY) / N_WEEKS)))
    others = int(np.ceil(year_h / hours))
    yards = max(1, n_systems // SYSTEMS_A_YARD)
    across = int(np.ceil(yards**0.5))
    middles = (np.arange(across) + 0.5) * side_m / across
    starts = [_place(x, y) for x in middles.tolist() for y in middles.tolist()]
    return pumpers, tuple(
        Person(
            name=f"Invented person {k + 1}",
            start=starts[k % len(starts)],
            day_s=HOURS_A_DAY * S_PER_H,
            days=(DAYS_A_WEEK,) * N_WEEKS,
        )
        for k in range(pumpers + others)
    )


def _hours_a_year(kind: _Kind) -> float:
    return N_WEEKS / kind.step_weeks * (kind.minutes + DRIVE_MIN) / 60


def _place(x_m: float, y_m: float) -> LonLat:
    lat = SOUTH_DEG + y_m / M_PER_DEG
    return LonLat(WEST_DEG + x_m / (M_PER_DEG * np.cos(np.radians(SOUTH_DEG))), lat)
