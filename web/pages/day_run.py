"""A day that runs: notes, ordering again what is open, older plans, why and what if."""

from dataclasses import replace
from datetime import date
from zoneinfo import ZoneInfo

from flask import Blueprint, Response, flash, jsonify, redirect, render_template, request, url_for
from werkzeug.wrappers import Response as AnyResponse

from registry.errors import RangeError
from registry.plan.day_changes import move_words
from registry.plan.difference import said
from registry.plan.say import clock
from registry.records.roads import NamedStretch
from registry.services.hold_visit import site_id_of
from registry.services.new_closure import ClosureWords, closure_by_name
from registry.services.run_day import ACT, Reordering, note, reorder, take_back
from registry.services.see_day import firm_of, see_day
from registry.services.see_running import see_running, see_version
from registry.services.viewer_zone import zone_of
from registry.services.what_if import what_if
from registry.services.why_site import why_site
from web import present
from web.access import needs, viewer
from web.context import parts, reading, today, writing
from web.draw.chart_table import route_table
from web.forms import date_in, number_in
from web.run_forms import note_in, time_in, wishes_in

pages = Blueprint("day_run", __name__, url_prefix="/day")

ORDER = "order the day"


@pages.post("/<on>/note")
@needs(ACT)
def make_note(on: str) -> AnyResponse:
    """Note one thing about a day."""
    on_date = date_in(on)
    with writing() as session:
        site_id = None
        if request.form.get("site"):
            site_id = site_id_of(session, viewer(), request.form["site"])
        note(session, viewer(), note_in(request.form, on_date, site_id), parts().now())
    flash("Noted. Order again what is open to see what it changes.")
    return _back(on_date)


@pages.post("/<on>/take-back")
@needs(ACT)
def take_note_back(on: str) -> AnyResponse:
    """Take a note back."""
    on_date = date_in(on)
    number = number_in(request.form.get("note", ""))
    if number is None:
        raise RangeError("Choose a note.")
    with writing() as session:
        take_back(session, viewer(), on_date, number)
    flash("The note is taken back.")
    return _back(on_date)


@pages.post("/<on>/reorder")
@needs(ORDER)
def order_again(on: str) -> AnyResponse:
    """Order again what is open of a day, and keep that plan."""
    on_date = date_in(on)
    price_min = number_in(request.form.get("price", ""))
    if price_min is None:
        raise RangeError("The price of moving a visit is a whole number of minutes.")
    wanted = Reordering(
        at_min=time_in(request.form, "at", "From when on"),
        move_price_s=60 * price_min,
        made_from=number_in(request.form.get("version", "")),
    )
    with parts().roads() as roads:
        reorder(parts().store, roads, parts().repairer(), viewer(), on_date, wanted, parts().now())
    flash("What was open is ordered again; below stands what changed.")
    return _back(on_date)


@pages.get("/<on>/running.json")
@needs(ACT)
def running_json(on: str) -> Response:
    """Return how a date goes now, with the keys of ``riserway today show --json``."""
    on_date = date_in(on)
    with reading() as session:
        at_min = minute_of(on_date, zone_of(session, viewer()))
        seen = see_running(session, viewer(), on_date, at_min)
    return jsonify(seen.as_json())


@pages.get("/<on>/version/<int:number>")
@needs(ORDER)
def version(on: str, number: int) -> str:
    """Show an older plan of a date."""
    on_date = date_in(on)
    with reading() as session:
        old, moves, zone = see_version(session, viewer(), on_date, number)
    return render_template(
        "day_version.html",
        on_date=on_date,
        day=old,
        routes=[(one, route_table(one, str(zone))) for one in old.routes if one.stops],
        moves=[move_words(one, zone) for one in moves],
        zone=str(zone),
        present=present,
    )


@pages.get("/<on>/why")
@needs(ORDER)
def why(on: str) -> str:
    """Say why a site's visit waits, or why it is where it is."""
    on_date = date_in(on)
    with reading() as session:
        firm_id = firm_of(session, viewer())
    with parts().roads() as roads:
        site = request.args.get("site", "")
        found = why_site(parts().store, roads, firm_id, on_date, site, parts().now())
    return render_template("day_why.html", on_date=on_date, found=found, present=present)


@pages.get("/<on>/what-if")
@needs(ORDER)
def ask_what_if(on: str) -> str:
    """Ask what would be different, and answer."""
    on_date = date_in(on)
    wishes = wishes_in(request.args)
    with reading() as session:
        view = see_day(session, viewer(), on_date)
    answer = None
    if wishes is not None:
        with parts().roads() as roads:
            if road := request.args.get("road", "").strip():
                words = ClosureWords(first_on=on_date)
                closed = closure_by_name(roads, NamedStretch(road=road), words)
                wishes = replace(wishes, closed=(closed,))
            answer = what_if(
                parts().store,
                roads,
                parts().repairer(),
                view.firm_id,
                on_date,
                wishes,
                parts().now(),
            )
    return render_template(
        "day_what_if.html",
        on_date=on_date,
        asked=request.args,
        technicians=[one.technician for one in view.day.routes] if view.day else [],
        answer=answer,
        said=said(answer) if answer else (),
        clock=clock,
        present=present,
    )


def minute_of(on_date: date, zone: str) -> int:
    """Return the time of day at which a date's state is told: now, or its begin or end."""
    here = today(zone)
    if on_date != here:
        return 0 if on_date > here else 24 * 60
    now = parts().now().astimezone(ZoneInfo(zone))
    return now.hour * 60 + now.minute


def _back(on_date: date) -> AnyResponse:
    return redirect(url_for("day.show_date", on=on_date, _anchor="running"))
