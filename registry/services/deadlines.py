"""The calendar of deadlines: reports, corrections, agreements that end, letters to be answered."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from registry.privacy import require
from registry.records.changes import Viewer
from registry.records.deadlines import AgreementEnding, DeadlineKind, DueBy
from registry.records.reports import FindingOpen, ReportOwed
from registry.report.letter_text import day_words
from registry.services.see_reports import ACT, see_reports
from registry.store import Session, deadlines
from registry.store.scope import scope_of

AHEAD = (30, 60, 90, 365)
"""How many days the page offers to look ahead."""
ANSWER_DAYS = 30
"""By when a letter to an owner is to be answered; common practice, no source."""
MOST_AGREEMENTS = 1000
MOST_SHOWN = 500
"""Deadlines that the page lists of what has passed; all are counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Week:
    """The deadlines of one week, which begins on a Monday (ISO 8601)."""

    monday: date
    due: tuple[DueBy, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class DeadlinesView:
    """What has passed, the longest first, and what comes by week; ``counts`` of all by kind."""

    on_date: date
    ahead_days: int
    past: tuple[DueBy, ...]
    n_past: int
    weeks: tuple[Week, ...]
    counts: dict[DeadlineKind, tuple[int, int]]


def see_deadlines(
    session: Session,
    viewer: Viewer,
    on_date: date,
    ahead_days: int = AHEAD[1],
    only: DeadlineKind | None = None,
) -> DeadlinesView:
    """Return the deadlines that have passed and those of the days ahead, as a viewer may see them.

    Raises
    ------
    AccessError
        If the role may not see what is owed.
    """
    found = all_deadlines(session, viewer, on_date, ahead_days)
    shown = [one for one in found if only is None or one.kind is only]
    past = [one for one in shown if one.days_late > 0]
    coming = [one for one in shown if one.days_late <= 0]
    counts = {
        kind: (
            sum(one.kind is kind and one.days_late > 0 for one in found),
            sum(one.kind is kind and one.days_late <= 0 for one in found),
        )
        for kind in DeadlineKind
    }
    return DeadlinesView(
        on_date=on_date,
        ahead_days=ahead_days,
        past=tuple(past[:MOST_SHOWN]),
        n_past=len(past),
        weeks=tuple(
            Week(monday=monday, due=tuple(each))
            for monday, each in groupby(coming, key=lambda one: _monday(one.on_date))
        ),
        counts=counts,
    )


def all_deadlines(session: Session, viewer: Viewer, on_date: date, ahead_days: int) -> list[DueBy]:
    """Return all deadlines until some days ahead, the earliest first.

    Raises
    ------
    AccessError
        If the role may not see what is owed.
    """
    require(viewer, ACT)
    scope = scope_of(viewer)
    until = on_date + timedelta(days=ahead_days)
    owed = see_reports(session, viewer, on_date)
    ending = deadlines.agreements_ending(session, scope, until, MOST_AGREEMENTS)
    letters = deadlines.letters_unanswered(session, scope, on_date)
    found = [
        *(_report(one, on_date) for one in owed.owed if one.state.days_late is not None),
        *_corrections(owed.to_mend),
        *(_agreement(one, on_date) for one in ending),
        *(_letter(one, on_date) for one in letters),
    ]
    return sorted(
        (one for one in found if one.on_date <= until),
        key=lambda one: (one.on_date, one.site, one.kind, one.key),
    )


def _monday(day: date) -> date:
    return day - timedelta(days=day.weekday())


def _report(one: ReportOwed, on_date: date) -> DueBy:
    days_late = one.state.days_late or 0
    return DueBy(
        kind=DeadlineKind.REPORT,
        key=f"report/{one.visit_id}/{one.state.to}",
        on_date=on_date - timedelta(days=days_late),
        days_late=days_late,
        site_id=one.site_id,
        site=one.site,
        place=one.place,
        what=f"report of the visit of {day_words(one.on_date)} to the {one.state.to}",
        citation=one.state.deadline.citation,
        visit_id=one.visit_id,
    )


def _corrections(found: Iterable[FindingOpen]) -> Iterator[DueBy]:
    for one in found:
        if one.mend_by is not None and one.days_late is not None:
            yield DueBy(
                kind=DeadlineKind.CORRECTION,
                key=f"correction/{one.finding.id}",
                on_date=one.mend_by,
                days_late=one.days_late,
                site_id=one.finding.site_id,
                site=one.site,
                place=one.place,
                what=f"{one.finding.kind}, found on {day_words(one.found_on)}, to be mended",
                citation=one.citation,
                visit_id=one.finding.visit_id,
            )


def _agreement(one: AgreementEnding, on_date: date) -> DueBy:
    ended = one.ends_on < on_date
    renews = f"; by its terms it renews on {day_words(one.renews_on)}" if one.renews_on else ""
    return DueBy(
        kind=DeadlineKind.AGREEMENT,
        key=f"agreement/{one.agreement_id}",
        on_date=one.ends_on,
        days_late=(on_date - one.ends_on).days,
        site_id=one.site_id,
        site=one.site,
        place=", ".join(filter(None, (one.address, one.town))),
        what=("agreement ended, none follows" if ended else "agreement ends, none follows")
        + renews,
        who=one.firm,
    )


def _letter(one: tuple[int, str, str, str, date, int], on_date: date) -> DueBy:
    site_id, site, address, town, written_on, times = one
    by = written_on + timedelta(days=ANSWER_DAYS)
    return DueBy(
        kind=DeadlineKind.LETTER,
        key=f"letter/{site_id}/{written_on}",
        on_date=by,
        days_late=(on_date - by).days,
        site_id=site_id,
        site=site,
        place=", ".join(filter(None, (address, town))),
        what=f"letter of {day_words(written_on)} not answered"
        + (f"; it was letter number {times}" if times > 1 else ""),
        citation=f"{ANSWER_DAYS} days, common practice, no source",
    )
