"""Dates by which somebody owes something to an authority: reports, corrections, agreements."""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum


class DeadlineKind(StrEnum):
    """What is to be done by the date."""

    REPORT = "report"
    CORRECTION = "correction"
    AGREEMENT = "agreement"
    LETTER = "letter"


@dataclass(frozen=True, slots=True, kw_only=True)
class DueBy:
    """One deadline at one site; ``key`` tells it from all others and stays the same.

    ``what`` says in words what is due, ``who`` the firm that owes it where one is known,
    ``citation`` who sets the date. ``visit_id`` is the visit that it comes from, "" = none.
    """

    kind: DeadlineKind
    key: str
    on_date: date
    days_late: int
    site_id: int
    site: str
    place: str
    what: str
    who: str = ""
    citation: str = ""
    visit_id: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AgreementEnding:
    """An agreement that ends, or ended, and that no other at its site follows."""

    agreement_id: int
    site_id: int
    site: str
    address: str
    town: str
    firm: str
    ends_on: date
    renews_on: date | None
