"""Reports from firms: taking them in by file or form, late and missing ones, taking them back."""

import tempfile
from pathlib import Path

from flask import Blueprint, flash, redirect, render_template, request, url_for
from werkzeug.datastructures import FileStorage
from werkzeug.utils import secure_filename
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import ConfigError, FileError, RangeError, RowError
from registry.field.findings import FINDINGS
from registry.field.reading_words import KEEP, WENT_BACK
from registry.records.gate_visit import SERIOUSNESS
from registry.records.reports_in import GivenReport
from registry.services.after_import import after_import
from registry.services.firm_reports import see_firm_reports
from registry.services.import_outcome import ImportOutcome, ImportRequest
from registry.services.take_back_reports import take_back_reports, take_back_run
from registry.services.take_in_reports import ACT, take_in_file, take_in_report
from registry.services.viewer_zone import zone_of
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.forms import date_in

pages = Blueprint("reports_in", __name__, url_prefix="/reports/firms")

ENDINGS = (".csv", ".txt", ".tsv")


@pages.get("/")
@needs(ACT)
def show() -> str:
    """Show how the firms' reports stand, and what came in."""
    return _page()


@pages.post("/file")
@needs(ACT)
def take_file() -> AnyResponse | str | tuple[str, int]:
    """Take a file in, and say of each row that was not taken what is wrong."""
    given = request.files.get("file")
    if given is None or not given.filename:
        raise RangeError("Choose a file of reports, a table saved as CSV.")
    name = secure_filename(given.filename) or "reports.csv"
    if not name.lower().endswith(ENDINGS):
        raise RangeError("Choose a table saved as CSV.")
    with tempfile.TemporaryDirectory(prefix="reports-") as folder:
        outcome = _taken(given, Path(folder) / name)
    counts = outcome.counts
    flash(
        f"{name}: {present.count(counts.read, 'row')} read, {counts.added} taken in, "
        f"{counts.unchanged} known before, {counts.rejected} not taken."
    )
    if not counts.rejected:
        return redirect(url_for("reports_in.show"))
    return _page(outcome=outcome), 422


@pages.post("/form")
@needs(ACT)
def take_one() -> AnyResponse | tuple[str, int]:
    """Take one report in, or say on the form all that is wrong."""
    try:
        given = _given()
        with writing() as session:
            now, on_date = parts().now(), today(zone_of(session, viewer()))
            _, site_id = take_in_report(session, viewer(), given, on_date, now)
            after_import(session, now, on_date, [site_id])
    except RowError as wrong:
        said = [f"{one.field}: {one.wrong}. {one.remedy}." for one in wrong.complaints]
        return _page(complaints=said), 422
    except RangeError as wrong:
        return _page(complaints=[str(wrong)]), 422
    flash("Taken in: the visit stands on the site's file, and what is due was worked out again.")
    return redirect(url_for("reports_in.show"))


@pages.post("/<visit_id>/take-back")
@needs(ACT)
def take_back(visit_id: str) -> AnyResponse:
    """Take one report back."""
    with writing() as session:
        now, on_date = parts().now(), today(zone_of(session, viewer()))
        why = request.form.get("why", "").strip()
        touched = take_back_reports(session, viewer(), [visit_id], why, now)
        after_import(session, now, on_date, touched)
    flash("Taken back: the visit stands no more. Everything is kept in the history.")
    return redirect(url_for("reports_in.show"))


@pages.post("/files/<int:run_id>/take-back")
@needs(ACT)
def take_back_file(run_id: int) -> AnyResponse:
    """Take all reports of a file back."""
    with writing() as session:
        now, on_date = parts().now(), today(zone_of(session, viewer()))
        run, number, touched = take_back_run(session, viewer(), run_id, now)
        after_import(session, now, on_date, touched)
    flash(f"{present.count(number, 'report')} of {run.file_name} taken back.")
    return redirect(url_for("reports_in.show"))


def _taken(given: FileStorage, path: Path) -> ImportOutcome:
    given.save(path)
    with writing() as session:
        now, on_date = parts().now(), today(zone_of(session, viewer()))
        asked = ImportRequest(path=path, who=viewer().name, now=now, folder=path.parent)
        try:
            outcome = take_in_file(session, viewer(), asked, on_date)
        except ConfigError as wrong:  # the columns of the file, here
            raise FileError(str(wrong)) from wrong
        after_import(session, now, on_date, outcome.touched_site_ids)
    return outcome


def _given() -> GivenReport:
    form = request.form

    def text(name: str) -> str:
        return form.get(name, "").strip()

    def texts(name: str) -> tuple[str, ...]:
        return tuple(one for one in form.getlist(name) if one)

    named = ((key.removeprefix("read."), value.strip()) for key, value in form.items()
             if key.startswith("read."))  # fmt: skip
    return GivenReport(
        site=text("site"),
        permit_no=text("permit_no"),
        system=text("system"),
        on_date=date_in(text("date")) if text("date") else None,
        received_on=date_in(text("received")) if text("received") else None,
        firm=text("firm"),
        person=text("person"),
        licence=text("licence"),
        tasks=texts("tasks"),
        readings={kind: value for kind, value in named if value},
        findings=texts("findings"),
        seriousness=text("seriousness"),
        finding_note=text("finding_note")[:500],
        mended=texts("mended"),
        answer=text("answer"),
    )


def _page(complaints: list[str] | None = None, outcome: ImportOutcome | None = None) -> str:
    with reading() as session:
        view = see_firm_reports(session, viewer(), today(zone_of(session, viewer())))
    return render_template(
        "reports_in.html",
        view=view,
        complaints=complaints or [],
        outcome=outcome,
        given=request.form,
        kinds=tuple(FINDINGS),
        seriousness=SERIOUSNESS,
        answers=(*KEEP, *WENT_BACK),
        present=present,
    )
