"""The recording page of a visit, the form as data, and the address that takes records."""

from collections.abc import Mapping
from datetime import datetime, timedelta
from typing import Any
from uuid import uuid4

from flask import Blueprint, Response, flash, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import NotFoundError, RangeError, RegistryError
from registry.field.closing import closing_json
from registry.field.findings import duty_words, findings_json
from registry.field.read_record import unfolded
from registry.field.reading_checks import checks_json
from registry.field.task_forms import TURNS, forms_json, last_words
from registry.field.visit_checks import VISIT_WORDS
from registry.records.changes import Role
from registry.records.gate_visit import SERIOUSNESS, Ending
from registry.records.reports import SentBy
from registry.services.note_own_order import note_own_order
from registry.services.note_visit import COMES_AND_GOES, note_coming
from registry.services.record_visit import Recorded, record_visit
from registry.services.see_photos import see_photos
from registry.services.see_visit import see_visit, visit_to_correct
from registry.services.visit_form import ACT, FormView, see_visit_form
from web import present
from web.access import needs, signed_in, viewer
from web.context import parts, reading, today, writing
from web.errors import status_of
from web.forms import date_in
from web.photo_rows import photos_shown
from web.read_log import read_of
from web.record_rows import WHY_HERE, finding_kinds, further_rows, record_rows
from web.report_words import state_words

pages = Blueprint("record", __name__)

MOST_RECORDS = 500
"""Records of one batch; a phone sends more in several."""
MOST_OFFSET_S = 1e9
"""A clock that is further off, more than thirty years, is none."""


@pages.get("/gate/<int:site_id>/<on>/record")
@needs(ACT)
def show(site_id: int, on: str) -> str:
    """Show the form of a visit."""
    with reading() as session:
        view = see_visit_form(session, viewer(), site_id, date_in(on), request.args.getlist("task"))
    return _page(view, {"id": str(uuid4())})


@pages.post("/gate/<int:site_id>/<on>/record")
@needs(ACT)
def keep(site_id: int, on: str) -> AnyResponse | tuple[str, int]:
    """Keep a visit from the form and show its report, or say on the form what is wrong."""
    given = unfolded(request.form.items()) | {"site_id": site_id}
    corrects = str(given.get("supersedes", ""))
    more = request.args.getlist("task")
    with reading() as session:
        view = see_visit_form(session, viewer(), site_id, date_in(on), more, corrects)
    try:
        with writing() as session:
            done = record_visit(session, viewer(), given, parts().now(), today)
    except RangeError as wrong:
        return _page(view, given, str(wrong).splitlines()), 422
    flash(_words(done))
    return redirect(url_for("record.report", visit_id=done.visit_id))


@pages.get("/gate/<int:site_id>/<on>/form.json")
@needs(ACT)
def form_json(site_id: int, on: str) -> Response:
    """Return the form of a visit with all its rules, as a page or a phone checks by itself."""
    corrects, more = request.args.get("corrects", ""), request.args.getlist("task")
    with reading() as session:
        view = see_visit_form(session, viewer(), site_id, date_in(on), more, corrects)
    form = view.form
    return jsonify(
        format="riserway-visit-form/1",
        site_id=view.site.id,
        on_date=view.on_date.isoformat(),
        time_zone=view.jurisdiction.time_zone,
        tasks=forms_json(form.tasks),
        further=forms_json(view.further),
        checks=checks_json(form.kinds),
        closing={**closing_json(form.asks, form.items), "visit_words": VISIT_WORDS},
        findings=findings_json(view.duties, view.jurisdiction.rule_set),
        on_file={
            str(system_id): {"figures": dict(one.figures), "befores": dict(one.befores)}
            for system_id, one in form.on_file.items()
        },
        has_hazards=form.has_hazards,
        off_route=view.is_off_route,
    )


@pages.get("/visits/<visit_id>/correct")
@needs(ACT)
def correct(visit_id: str) -> str:
    """Show the form of a visit filled in as it was sent, to be corrected."""
    with reading() as session:
        record = visit_to_correct(session, viewer(), visit_id)
        read_of(int(record["site_id"]))
        view = see_visit_form(
            session,
            viewer(),
            int(record["site_id"]),
            date_in(record["on_date"]),
            corrects=visit_id,
        )
    return _page(view, record | {"id": str(uuid4()), "supersedes": visit_id})


@pages.get("/visits/<visit_id>/report")
@needs("read a site file")
def report(visit_id: str) -> str:
    """Show the report of a visit, for owner and authority."""
    with reading() as session:
        view = see_visit(session, viewer(), visit_id, today)
        read_of(view.site.id)
        seen = see_photos(session, viewer(), view.site.id)
    shown = photos_shown(
        seen.of_visit(visit_id),
        seen.findings,
        viewer(),
        view.jurisdiction.time_zone,
        view.labels,
    )
    return render_template(
        "record_report.html",
        view=view,
        photos=shown,
        ways=list(SentBy),
        state_words=state_words,
        turns=TURNS,
        present=present,
    )


@pages.post("/records")
def take_records() -> tuple[Response, int]:
    """Take a batch of records and answer each by itself; what was kept before is said again."""
    if not signed_in():
        return jsonify(complaints=["Sign in, then send the records again."]), 401
    sent = request.get_json(silent=True)
    batch = sent if isinstance(sent, Mapping) else {}
    records = batch.get("records")
    if not isinstance(records, list) or len(records) > MOST_RECORDS:
        wrong = f"Send a JSON object with “records”, a list of up to {MOST_RECORDS}."
        return jsonify(complaints=[wrong]), 422
    now = parts().now()
    sent_at = _moment(batch.get("sent_at"))
    answers = [_taken(one if isinstance(one, Mapping) else {}, now, sent_at) for one in records]
    return jsonify(records=answers, server_time=now.isoformat()), 200


def _taken(record: Mapping[str, Any], now: datetime, sent_at: datetime | None) -> dict[str, Any]:
    """Keep one record in a transaction of its own and say what became of it."""
    answer: dict[str, Any] = {"id": str(record.get("id", ""))[:100]}
    try:
        with writing() as session:
            kind = str(record.get("kind", "visit"))
            if kind in COMES_AND_GOES or kind == "order":
                at, on_date = _at(record, now, sent_at), date_in(str(record.get("on_date")))
                if kind == "order":
                    stops = _numbers(record.get("site_ids"))
                    note_own_order(session, viewer(), on_date, stops, at, now)
                else:
                    site_id, said = _number(record.get("site_id")), COMES_AND_GOES[kind]
                    note_coming(session, viewer(), said, site_id, on_date, at, now)
                return answer | {"status": "kept"}
            done = record_visit(session, viewer(), record, now, today, sent_at=sent_at)
    except RegistryError as wrong:
        return answer | {
            "status": "refused",
            "code": status_of(type(wrong)),
            "complaints": str(wrong).splitlines(),
        }
    return answer | {
        "status": "kept" if done.is_new else "kept before",
        "ending": done.ending.value,
        "owed": [{"task": one.task, "note": one.note} for one in done.owed],
        "left_open": done.left_open,
        "follow_ups": [
            {"finding": one.id, "on": one.follow_up_on.isoformat()}
            for one in done.findings
            if one.follow_up_on
        ],
        "words": _words(done),
        "report": url_for("record.report", visit_id=done.visit_id),
    }


def _page(view: FormView, given: Mapping[str, Any], complaints: list[str] | None = None) -> str:
    zone = view.jurisdiction.time_zone
    rule_set = view.jurisdiction.rule_set
    return render_template(
        "record.html",
        view=view,
        site=view.site,
        given=given,
        rows=record_rows(view.form, given, lambda: str(uuid4()), zone),
        further=further_rows(view.further, view.form),
        complaints=complaints or [],
        kinds=finding_kinds(),
        seriousness=[(one, duty_words(view.duties, one, rule_set)) for one in SERIOUSNESS],
        by_hand=viewer().role is not Role.TECHNICIAN,
        last_words=last_words,
        why_here=WHY_HERE,
        clocks={name: _clock(given.get(name), zone) for name in ("arrived_at", "left_at")},
        endings=Ending,
        present=present,
    )


def _clock(said: object, zone: str) -> str:
    """Return a time of day as the field shows it: as it was typed, or of a whole moment."""
    moment = _moment(said)
    return str(said or "") if moment is None else f"{present.local(moment, zone):%H:%M}"


def _words(done: Recorded) -> str:
    if not done.is_new:
        return "This record was kept before; nothing was changed."
    said = ["Kept."]
    if done.owed:
        said.append(f"Still due: {', '.join(one.task for one in done.owed)}.")
    said += [
        f"Follow-up for {one.kind} by {present.short_day(one.follow_up_on)}."
        for one in done.findings
        if one.follow_up_on
    ]
    return " ".join(said)


def _moment(said: object) -> datetime | None:
    try:
        moment = datetime.fromisoformat(str(said))
    except ValueError:
        return None
    return moment if moment.tzinfo else None


def _at(record: Mapping[str, Any], now: datetime, sent_at: datetime | None) -> datetime:
    """Return when a short record was made, by the server's clock."""
    at = _moment(record.get("at")) or now
    offset_s = record.get("device_offset_s")
    if isinstance(offset_s, int | float) and abs(offset_s) < MOST_OFFSET_S:
        return at + timedelta(seconds=offset_s)
    return at + (now - sent_at) if sent_at else at


def _numbers(said: object) -> list[int]:
    return [_number(one) for one in said] if isinstance(said, list) else []


def _number(said: object) -> int:
    text = str(said)
    if not text.isascii() or not text.isdigit():
        raise NotFoundError("There is no such site, or it is not for your sign-in.")
    return int(text)
