"""After-flood checks: what was under water at an observed stage owes one once it is off."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from registry.due.columns import Days, Ints, ObligationBlock, no_day
from registry.flood.rising import StageSeries
from registry.units import S_PER_H

type LocalDay = Callable[[int, float], date]
"""Gives the local day of a moment [s] at the system of a row."""

AFTER_FLOOD = "after-flood check"
RULE, SOURCE = "after-flood", "After every flood; common practice, no source"
OLD_S = 365 * 24 * S_PER_H
"""A flood that was over so long before the newest reading is left to the checks since; ours."""
HORIZON_DAYS = 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Flood:
    """When water stood at a system: from when, to when (None = it still stands), how high."""

    since_s: float
    until_s: float | None
    peak_ft: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Flooded:
    """One system that an observed stage put under water.

    ``row`` is its index among the systems; ``stage_ft`` puts its lowest measured part under.
    """

    row: int
    gauge: str
    stage_ft: float
    flood: Flood


def last_flood(read: StageSeries, stage_ft: float) -> Flood | None:
    """Return the last time that the water read at a gauge stood at a stage, None if it never did.

    A stage below all that was ever read is no flood but a part that stands in the river, by its
    elevation on file: it says nothing.
    """
    spans = read.spans_above(stage_ft)
    first, last = float(read.at_s[0]), float(read.at_s[-1])
    if not spans or spans[0] == (first, last):
        return None
    since, until = spans[-1]
    if until < last - OLD_S:
        return None
    during = (read.at_s >= since) & (read.at_s <= until)
    return Flood(
        since_s=since,
        until_s=None if until == last else until,
        peak_ft=float(read.stage_ft[during].max(initial=stage_ft)),
    )


def after_floods(
    flooded: Sequence[Flooded], last_done: Days, day_of: LocalDay
) -> ObligationBlock | None:
    """Return the checks that are owed, None where there is none.

    A check is due on the day after the water fell below the system's lowest measured part; while it
    stands there no date can be said. One that was made since then settles it.

    Parameters
    ----------
    flooded
        The systems.
    last_done
        When each system was last checked after a flood, (n,).
    day_of
        Gives the local day of a moment at a system.
    """
    owed: dict[int, tuple[Flooded, date | None]] = {}
    for one in flooded:
        fell_s = one.flood.until_s
        fell_on = None if fell_s is None else day_of(one.row, fell_s)
        since_on = fell_on or day_of(one.row, one.flood.since_s)
        done_on = last_done[one.row]
        if np.isnat(done_on) or done_on.item() < since_on:
            owed[one.row] = (one, fell_on)
    if not owed:
        return None
    rows: Ints = np.array(sorted(owed), np.int64)
    found = [owed[row] for row in rows.tolist()]
    due = [fell_on + timedelta(days=1) if fell_on else None for _, fell_on in found]
    counted = [fell_on for _, fell_on in found]
    many = len(found)
    return ObligationBlock(
        task=AFTER_FLOOD,
        rows=rows,
        last_done=last_done[rows],
        counted_from=_days(counted),
        due_on=_days(due),
        estimated=np.zeros(many, bool),
        rule_code=[RULE] * many,
        source=[SOURCE] * many,
        grace_days=[0] * many,
        horizon_days=[HORIZON_DAYS] * many,
        reason=[_reason(one, fell_on) for one, fell_on in found],
    )


def flooded_systems(
    lowest: Sequence[tuple[int, int, float]],
    read: Mapping[int, tuple[str, StageSeries]],
    row_of: Mapping[int, int],
) -> list[Flooded]:
    """Return which systems an observed stage put under water.

    Parameters
    ----------
    lowest
        System, gauge, and the stage that puts its lowest measured part under. [ft]
    read
        Name and readings of each gauge by its id.
    row_of
        Row of each system by its id.
    """
    found = []
    for system_id, gauge_id, stage_ft in lowest:
        if gauge_id not in read or system_id not in row_of:
            continue
        name, series = read[gauge_id]
        flood = last_flood(series, stage_ft)
        if flood is not None:
            found.append(Flooded(row=row_of[system_id], gauge=name, stage_ft=stage_ft, flood=flood))
    return found


def _reason(one: Flooded, fell_on: date | None) -> str:
    said = (
        f"{one.gauge} was read at {one.flood.peak_ft:.1f} ft, and {one.stage_ft:.1f} ft puts the "
        "lowest measured part under water"
    )
    if fell_on is None:
        return f"{said}; by the last reading it still stands there, so no date can be said yet."
    return f"{said}; it fell below that on {fell_on}. The level is carried along the river."


def _days(days: Sequence[date | None]) -> Days:
    return np.array(days, dtype="datetime64[D]") if days else no_day(0)
