"""A visit as it is recorded at the gate: states before and after, tasks, answers, findings."""

from dataclasses import dataclass, field
from datetime import date, datetime
from enum import StrEnum

from registry.records.visits import Reading

SERIOUS, FAULT, NOTE = "serious", "fault", "note"
SERIOUSNESS = (SERIOUS, FAULT, NOTE)
"""Serious: it can hurt or foul now. Fault: to be mended. Note: to be watched."""


class Ending(StrEnum):
    """How a visit, or one task of it, ended."""

    DONE = "done"
    PARTLY = "partly"
    NOT_REACHED = "not reached"
    LEFT = "had to leave"


class Said(StrEnum):
    """What is answered to an item of the return-to-service list."""

    YES = "yes"
    CHANGED = "changed"
    OPEN = "open"


@dataclass(frozen=True, slots=True, kw_only=True)
class PartState:
    """How one part was found and left; ``what`` is a word of ``registry.field.part_states``.

    ``reason`` says why it was left otherwise than it was found. A balancing valve's state is its
    turns from fully shut, as text.
    """

    what: str
    component_id: int | None = None
    as_found: str = ""
    as_left: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskOutcome:
    """How one task of one system ended, and what is left of it."""

    system_id: int
    task: str
    outcome: Ending
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """The answer to one item of the return-to-service list."""

    item: str
    said: Said
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """One thing that was found.

    Its place is a component, or bearing and distance from the reference corner. ``owner_told`` is
    what the owner was told. ``report_by`` is when the authority must know, ``follow_up_on`` the day
    of the visit that was made from it; None = none.
    """

    id: str
    visit_id: str = ""
    site_id: int = 0
    system_id: int | None = None
    component_id: int | None = None
    kind: str
    seriousness: str = ""
    note: str = ""
    bearing_deg: float | None = None
    distance_ft: float | None = None
    owner_told: str = ""
    report_by: datetime | None = None
    follow_up_on: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class GateVisit:
    """One visit as recorded at the gate; append-only, a correction names what it ``supersedes``.

    ``arrived_at`` and ``left_at`` are the device's moments, ``device_offset_s`` what must be added
    to them for the server's clock [s]. ``hazards_seen``: the hazards were read. ``left_open`` says
    why a site was not reached or had to be left. ``from_paper``: the office typed it in.
    """

    id: str
    site_id: int
    on_date: date
    technician_id: int | None = None
    arrived_at: datetime | None = None
    left_at: datetime | None = None
    device_offset_s: float | None = None
    hazards_seen: bool = False
    ending: Ending = Ending.DONE
    left_open: str = ""
    note: str = ""
    from_paper: bool = False
    states: tuple[PartState, ...] = field(default=())
    outcomes: tuple[TaskOutcome, ...] = field(default=())
    readings: tuple[Reading, ...] = field(default=())
    answers: tuple[Answer, ...] = field(default=())
    findings: tuple[Finding, ...] = field(default=())
    supersedes: str = ""
