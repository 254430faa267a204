"""When a pump-out is due: by measured scum and sludge, else forecast from the published table."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from typing import NamedTuple

from registry.due.months import add_months
from registry.due.pump_out_table import (
    LARGEST_GAL,
    MOST_PEOPLE,
    SMALLEST_GAL,
    pump_out_years,
)
from registry.due.pump_out_triggers import pump_out_verdict, solids_share, trigger_set

DAYS_PER_YEAR = 365.25
LOOK_AGAIN_MONTHS = 12
"""A reading that says "not yet" is trusted for a year; common practice, no source."""
LONGEST_DAYS = 100 * 365
"""No forecast goes further ahead than a century."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank:
    """What a pump-out forecast needs to know of a system.

    ``people`` falls back on ``bedrooms``, one person each (common practice, no source).
    """

    tank_gal: float | None = None
    people: float | None = None
    bedrooms: float | None = None
    occupied_share: float = 1.0
    trigger: str = "MN"


class PumpOut(NamedTuple):
    """A pump-out's date, whether it is an estimate, and why in one or two sentences."""

    due_on: date | None
    estimated: bool
    why: str


def pump_out_due(
    tank: Tank,
    emptied_on: date | None,
    read_on: date | None,
    readings: Mapping[str, float],
) -> PumpOut:
    """Return when a tank is due for a pump-out.

    Parameters
    ----------
    tank
        Size, household, occupied share of the year and the rule set whose triggers hold.
    emptied_on
        The last pump-out, or the day of installation; None where neither is known.
    read_on, readings
        The newest measured solids since then, see ``pump_out_triggers``; None and empty without.

    Notes
    -----
    Measured solids come first (they override the table, as its own notes say). Where they say "not
    yet" and the share of the depth was measured, the share is carried on at the rate since the tank
    was emptied: a straight line, common practice, no source. Otherwise the published table, divided
    by the occupied share of the year (common practice).
    """
    if read_on is not None:
        verdict = pump_out_verdict(readings, tank.trigger)
        if verdict.pump:
            return PumpOut(read_on, False, f"Measured on {read_on}. {verdict.why}")
        if verdict.pump is False:
            return _after_not_yet(tank, emptied_on, read_on, readings, verdict.why)
    return _by_table(tank, emptied_on)


def _after_not_yet(
    tank: Tank, emptied_on: date | None, read_on: date, readings: Mapping[str, float], why: str
) -> PumpOut:
    limit, share = trigger_set(tank.trigger).solids_over_share, solids_share(readings)
    if limit and share and emptied_on and read_on > emptied_on:
        days = min((read_on - emptied_on).days * limit / share, LONGEST_DAYS)
        due_on = emptied_on + timedelta(days=int(days))
        return PumpOut(
            max(due_on, read_on),
            True,
            f"Measured on {read_on}. {why} Estimate: at the rate since {emptied_on} the limit is "
            f"reached on {due_on}.",
        )
    look_again = add_months(read_on, LOOK_AGAIN_MONTHS)
    table = _by_table(tank, emptied_on)
    due_on = max(table.due_on, look_again) if table.due_on else look_again
    return PumpOut(
        due_on,
        True,
        f"Measured on {read_on}. {why} Estimate: measure again within {LOOK_AGAIN_MONTHS} months.",
    )


def _by_table(tank: Tank, emptied_on: date | None) -> PumpOut:
    missing = _what_is_missing(tank, emptied_on)
    people = tank.people if tank.people else tank.bedrooms
    if missing or tank.tank_gal is None or people is None or emptied_on is None:
        return PumpOut(
            None, True, f"No pump-out date can be said: {missing}. Measure scum and sludge."
        )
    years = _table_years(float(tank.tank_gal), float(people))
    seasonal = years / tank.occupied_share
    days = min(seasonal * DAYS_PER_YEAR, LONGEST_DAYS)
    who = f"{people:g} people" if tank.people else f"{people:g} people (one for each bedroom)"
    scaled = (
        ""
        if tank.occupied_share == 1
        else f", {seasonal:.1f} years at {tank.occupied_share:.0%} occupied"
    )
    return PumpOut(
        emptied_on + timedelta(days=round(days)),
        True,
        f"Estimate: {tank.tank_gal:,.0f} gal and {who} give {years:.1f} years{scaled} "
        f"(table after Mancl 1984), counted from {emptied_on}.",
    )


@lru_cache(maxsize=4096)
def _table_years(tank_gal: float, people: float) -> float:
    return pump_out_years(tank_gal, people)


def _what_is_missing(tank: Tank, emptied_on: date | None) -> str:
    people = tank.people if tank.people else tank.bedrooms
    gal = tank.tank_gal
    problems = (
        (not gal, "the tank's size is not on file"),
        (
            not SMALLEST_GAL <= (gal or 0) <= LARGEST_GAL,
            f"the published table does not reach to {gal or 0:,.0f} gal",
        ),
        (not people, "neither people nor bedrooms are on file"),
        (
            not 0 < (people or 0) <= MOST_PEOPLE,
            f"the published table does not reach to {people or 0:g} people",
        ),
        (tank.occupied_share <= 0, "nobody lives there"),
        (emptied_on is None, "neither a pump-out nor the day of installation is on file"),
    )
    return next((what for holds, what in problems if holds), "")
