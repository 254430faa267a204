"""How the report of a visit stands, in words, for every page that shows it."""

from registry.due.report_rules import NOT_ON_FILE
from registry.records.reports import ReportState
from web import present


def due_words(state: ReportState, zone: str) -> str:
    """Return by when a report is due and who says so."""
    due = state.deadline
    said = []
    if due.at is not None:
        said.append(f"tell of the finding by {present.moment_words(due.at, zone)}")
    if due.on_date is not None:
        said.append(f"report by {present.short_day(due.on_date)} ({due.citation})")
    return "; ".join(said) or NOT_ON_FILE[state.to]


def state_words(state: ReportState, zone: str) -> str:
    """Return in one line whether a report was sent, and if not by when it is due."""
    if state.sent is not None:
        return f"sent on {present.short_day(state.sent.sent_on)}, {state.sent.how}"
    if state.days_late is None:
        return f"owed; {due_words(state, zone)}"
    return f"owed; {due_words(state, zone)}; {present.lateness(state.days_late)}"
