"""Many systems and their obligations as columns: what due dates are computed from and into."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date

import numpy as np
import numpy.typing as npt

from registry.due.terms import NOTHING_OWN, OwnTerms, Profile
from registry.records.work import Obligation

type Ints = npt.NDArray[np.int64]
type Floats = npt.NDArray[np.float64]
type Days = npt.NDArray[np.datetime64]


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SystemColumns:
    """n systems as columns of shape (n,); NaN and NaT where a value is unknown.

    ``tank_gal`` is the liquid capacity of all septic tanks of a system [US gal]. ``own`` is keyed
    by system id and holds only systems that have terms of their own. ``agreed_from`` holds by task
    the day since which an agreement in force promises it, NaT where none does. ``solids`` holds the
    newest measured solids by system id: the day and the values by kind.
    """

    system_id: Ints
    site_id: Ints
    firm_id: Ints
    jurisdiction_id: Ints
    profiles: list[Profile]
    installed_on: Days
    tank_gal: Floats
    people: Floats
    bedrooms: Floats
    occupied_share: Floats
    trigger: list[str]
    own: Mapping[int, OwnTerms] = field(default_factory=dict)
    agreed_from: Mapping[str, Days] = field(default_factory=dict)
    solids: Mapping[int, tuple[date, Mapping[str, float]]] = field(default_factory=dict)

    def __len__(self) -> int:
        """Return how many systems there are."""
        return len(self.system_id)

    def own_of(self, row: int) -> OwnTerms:
        """Return the terms of one system's own file."""
        return self.own.get(int(self.system_id[row]), NOTHING_OWN) if self.own else NOTHING_OWN

    def agreed(self, task: str) -> Days:
        """Return the days since which a task is promised."""
        return self.agreed_from.get(task, no_day(len(self)))


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class ObligationBlock:
    """One task of the m systems that share the rules for it; columns of shape (m,).

    ``rows`` are indices into the systems. ``estimated`` see ``records.work.Obligation``.
    """

    task: str
    rows: Ints
    last_done: Days
    counted_from: Days
    due_on: Days
    estimated: npt.NDArray[np.bool_]
    rule_code: list[str]
    source: list[str]
    grace_days: list[int]
    horizon_days: list[int]
    reason: list[str]


def no_day(n: int) -> Days:
    """Return n unknown days."""
    return np.full(n, np.datetime64("NaT", "D"))


def records(systems: SystemColumns, blocks: list[ObligationBlock]) -> Iterator[Obligation]:
    """Yield the obligations of blocks as records, for a site or a test; bulk work stays columns."""
    for block in blocks:
        dates = [block.last_done, block.counted_from, block.due_on]
        last, counted, due = (days.astype(object) for days in dates)
        for at, row in enumerate(block.rows.tolist()):
            yield Obligation(
                system_id=int(systems.system_id[row]),
                site_id=int(systems.site_id[row]),
                firm_id=int(systems.firm_id[row]),
                jurisdiction_id=int(systems.jurisdiction_id[row]),
                task=block.task,
                rule_code=block.rule_code[at],
                source=block.source[at],
                last_done=last[at],
                counted_from=counted[at],
                due_on=due[at],
                estimated=bool(block.estimated[at]),
                grace_days=block.grace_days[at],
                horizon_days=block.horizon_days[at],
                reason=block.reason[at],
            )
