"""Deadlines by week: reports, corrections, agreements that end, letters to be answered."""

from flask import Blueprint, Response, render_template, request

from registry.errors import NotFoundError, RangeError
from registry.records.deadlines import DeadlineKind
from registry.report.deadline_calendar import deadline_calendar, deadline_csv
from registry.services.deadlines import AHEAD, all_deadlines, see_deadlines
from registry.services.hand_out_day import ENDINGS
from registry.services.see_reports import ACT
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today
from web.forms import number_in

pages = Blueprint("deadlines", __name__, url_prefix="/deadlines")

WORDS = {
    DeadlineKind.REPORT: "reports",
    DeadlineKind.CORRECTION: "corrections",
    DeadlineKind.AGREEMENT: "agreements that end",
    DeadlineKind.LETTER: "letters to be answered",
}


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show what has passed, and what comes by week."""
    asked = request.args.get("kind", "")
    if asked and asked not in tuple(DeadlineKind):
        raise RangeError("Choose from the list which deadlines to show.")
    only = DeadlineKind(asked) if asked else None
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        view = see_deadlines(session, viewer(), on_date, _ahead(), only)
    return render_template(
        "deadlines.html", view=view, only=only, words=WORDS, ahead=AHEAD, present=present
    )


@pages.get("/deadlines.<ending>")
@needs(ACT)
def file(ending: str) -> Response:
    """Send the deadlines as a calendar or a table."""
    if ending not in {"ics", "csv"}:
        raise NotFoundError("Deadlines are taken out as .ics or .csv.")
    with reading() as session:
        on_date = today(zone_of(session, viewer()))
        found = all_deadlines(session, viewer(), on_date, _ahead())
    if ending == "csv":
        answer = Response(deadline_csv(found), mimetype="text/csv; charset=utf-8")
    else:
        body = deadline_calendar(found, parts().now(), name="Deadlines")
        answer = Response(body, content_type=ENDINGS["ics"])
    answer.headers["Content-Disposition"] = f'attachment; filename="deadlines.{ending}"'
    return answer


def _ahead() -> int:
    days = number_in(request.args.get("ahead", "")) or AHEAD[1]
    if not 1 <= days <= AHEAD[-1]:
        raise RangeError(f"Look ahead from 1 to {AHEAD[-1]} days.")
    return days
