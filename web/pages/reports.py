"""Reports owed and findings to be mended; noting what was sent and what was mended."""

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.privacy import may
from registry.records.reports import FindingMended, ReportSent, ReportTo, SentBy
from registry.services.note_report import (
    ACT as NOTE,
)
from registry.services.note_report import (
    note_mended,
    note_sent,
    take_back_mended,
    take_back_sent,
)
from registry.services.see_reports import ACT, see_reports
from registry.services.take_in_reports import ACT as TAKE_IN
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import date_in
from web.report_words import due_words

pages = Blueprint("reports", __name__, url_prefix="/reports")


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show what is owed and what is to be mended, overdue first."""
    with reading() as session:
        view = see_reports(session, viewer(), today(zone_of(session, viewer())))
    return render_template(
        "reports.html",
        view=view,
        may_note=may(viewer(), NOTE),
        may_take_in=may(viewer(), TAKE_IN),
        due_words=due_words,
        ways=list(SentBy),
        present=present,
    )


@pages.post("/visits/<visit_id>/sent")
@needs(NOTE)
def sent(visit_id: str) -> AnyResponse:
    """Note that the report of a visit was sent."""
    form = request.form
    if form.get("how") not in tuple(SentBy):
        raise RangeError("Choose from the list how the report was sent.")
    with writing() as session:
        on_date = today(zone_of(session, viewer()))
        one = ReportSent(
            visit_id=visit_id,
            to=_recipient(),
            sent_on=date_in(form["on"]) if form.get("on") else on_date,
            how=SentBy(form["how"]),
            note=form.get("note", "").strip(),
        )
        note_sent(session, viewer(), one, on_date, parts().now())
    flash(f"Noted: the report was sent to the {one.to} on {present.short_day(one.sent_on)}.")
    return _back(visit_id)


@pages.post("/visits/<visit_id>/take-back")
@needs(NOTE)
def take_back(visit_id: str) -> AnyResponse:
    """Take back the note that a report was sent."""
    with writing() as session:
        take_back_sent(session, viewer(), visit_id, _recipient(), parts().now())
    flash("Taken back: the report is owed again. Both notes are kept.")
    return _back(visit_id)


@pages.post("/findings/<finding_id>/mended")
@needs(NOTE)
def mended(finding_id: str) -> AnyResponse:
    """Note that a finding was mended."""
    form = request.form
    with writing() as session:
        on_date = today(zone_of(session, viewer()))
        one = FindingMended(
            finding_id=finding_id,
            mended_on=date_in(form["on"]) if form.get("on") else on_date,
            note=form.get("note", "").strip(),
        )
        note_mended(session, viewer(), one, on_date, parts().now())
    flash("Noted: mended.")
    return _back(form.get("visit", ""))


@pages.post("/findings/<finding_id>/take-back")
@needs(NOTE)
def take_back_mending(finding_id: str) -> AnyResponse:
    """Take back the note that a finding was mended."""
    with writing() as session:
        take_back_mended(session, viewer(), finding_id, parts().now())
    flash("Taken back: the finding is to be mended. Both notes are kept.")
    return _back(request.form.get("visit", ""))


def _recipient() -> ReportTo:
    to = request.form.get("to", "")
    if to not in tuple(ReportTo):
        raise RangeError("Say who got the report: the authority or the owner.")
    return ReportTo(to)


def _back(visit_id: str) -> AnyResponse:
    """Return to the page that the form stood on: the list, or the report of the visit."""
    if request.form.get("page") == "list" or not visit_id:
        return redirect(url_for("reports.show"))
    return redirect(url_for("record.report", visit_id=visit_id, _anchor="sent"))
