"""What is noted while a day runs: where technicians are, which gates were locked, who called."""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum


class NoteKind(StrEnum):
    """What a note says."""

    ON_SITE = "on site"
    DONE = "done"
    NOT_REACHED = "not reached"
    LATE = "late"
    GONE_HOME = "gone home"
    LEFT = "left"
    HEARD = "heard from"
    SEEN = "plan seen"
    OFF_ROUTE = "off the route"
    ORDER = "own order"
    CALL = "alarm call"


@dataclass(frozen=True, slots=True, kw_only=True)
class DayNote:
    """One note about a day that runs.

    ``at_min`` is when it was so, local minutes after midnight. A stop is named by ``site_id``;
    ``technician_id`` is whose. ``LEFT``: the site was left, its visit not closed yet. ``HEARD``:
    the office heard of a technician otherwise, ``text`` says how. ``SEEN``: a technician has seen
    the version of the plan whose number is in ``text``. ``OFF_ROUTE``: a technician recorded at a
    site that is on another route or on none, ``text`` says why. ``ORDER``: a technician makes the
    stops that remain in the order of ``text``. ``minutes`` is how late somebody is. ``from_min`` to
    ``to_min`` is what was promised to whoever called.
    """

    id: int = 0
    on_date: date
    kind: NoteKind
    at_min: int
    technician_id: int | None = None
    site_id: int | None = None
    minutes: float | None = None
    from_min: int | None = None
    to_min: int | None = None
    text: str = ""
    noted_by: str = ""
    noted_at: datetime | None = None
