"""Task kinds, interval rules and obligations."""

from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskKind:
    """One kind of task: how long, how much water, who may, what harm lateness does.

    Minutes and water of one task at a site = ``minutes`` + sum over components of ``minutes_each``
    [min per component kind, laterals by their count] (same for water). ``late_harm_s_per_day`` is
    what one day overdue is worth in seconds of driving; ``clock`` is the task whose last visit
    counts ("" = itself). ``source`` says where the figures come from.
    """

    code: str
    name: str
    minutes: float
    water_gal: float = 0.0
    minutes_each: dict[str, float] = field(default_factory=dict)
    water_each_gal: dict[str, float] = field(default_factory=dict)
    septage_each_gal: dict[str, float] = field(default_factory=dict)
    buried_lid_minutes: float = 0.0
    licence: str = ""
    skills: tuple[str, ...] = ()
    people: int = 1
    tools: tuple[str, ...] = ()
    steps: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    late_harm_s_per_day: float = 60.0
    base_worth_s: float = 1500.0
    clock: str = ""
    source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class IntervalRule:
    """How often a task is due, by whom it is set and where that is written.

    Either ``months`` (calendar months from the last visit) or ``yearly_by`` ("MM-DD", a date each
    year), or neither for a task due by reading (``by_reading`` "pump-out"). ``system_kinds`` and
    ``component_kinds`` empty = all; ``jurisdiction`` "" = everywhere. ``status`` is law,
    permit, agreement or default; ``is_waiver`` loosens the law it names in ``waives``.
    """

    code: str
    task: str
    months: int | None = None
    yearly_by: str = ""
    by_reading: str = ""
    system_kinds: tuple[str, ...] = ()
    component_kinds: tuple[str, ...] = ()
    jurisdiction: str = ""
    season_from: str = ""
    season_to: str = ""
    grace_days: int = 0
    horizon_days: int = 30
    status: str = "default"
    waives: str = ""
    citation: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Obligation:
    """One task owed by one system. ``due_on`` None = no date can be said yet (``reason`` says why).

    ``counted_from`` is the day the interval runs from (last done, or install date, or an
    agreement's first day, or None). ``estimated`` marks a date that rests on a published table,
    not on a reading or a rule's clock.
    ``rule_code`` and ``source`` (its citation) name what set the date. ``reason`` says why in a
    sentence; ``services.explain_due`` names every rule looked at.
    """

    id: int = 0
    system_id: int
    site_id: int
    firm_id: int = 0
    jurisdiction_id: int = 0
    task: str
    rule_code: str = ""
    source: str = ""
    last_done: date | None = None
    counted_from: date | None = None
    due_on: date | None = None
    estimated: bool = False
    grace_days: int = 0
    horizon_days: int = 30
    reason: str = ""
