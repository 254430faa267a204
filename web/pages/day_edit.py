"""Changing a day by hand: what a change comes to, where a visit could go, keeping the day."""

from flask import Blueprint, Response, current_app, jsonify, request, url_for

from registry.errors import ConflictError, RegistryError
from registry.plan.moves import Edit, edited
from registry.services.change_day import (
    ACT,
    call_named,
    done_words,
    open_day,
    places_for,
    routes_named,
    see_change,
)
from registry.services.day_at_hand import DayAtHand
from registry.services.keep_change import ToKeep, keep_change
from registry.services.see_day import firm_of
from web.access import needs, viewer
from web.context import parts, reading
from web.errors import status_of
from web.forms import date_in
from web.hand_forms import Asked, asked_in
from web.hand_words import places_of, state_of
from web.opened_days import OpenedDays

pages = Blueprint("day_edit", __name__, url_prefix="/day")

OPENED = "riserway_opened_days"


@pages.errorhandler(RegistryError)
def say_what_is_wrong(wrong: RegistryError) -> tuple[Response, int]:
    """Answer in the words of the error, as the page that asks expects."""
    return jsonify(error=str(wrong)), status_of(type(wrong))


@pages.get("/<on>/hand.json")
@needs(ACT)
def hand(on: str) -> Response:
    """Open a day to be changed."""
    day = _opened(on)
    problem = day.plan.fixed
    changed = see_change(day, day.plan.routes, None)
    kept = [one.technician_id for one in day.day.routes if one.stops]
    now = [one.technician_id for one in changed.day.routes]
    state = state_of(day, changed, day.plan.routes, "", _zone(day))
    if kept == now and not day.plan.gone:
        state["charts"] = {}
    return jsonify(
        opened=_days().keep(day),
        version=day.day.number,
        gone=list(day.plan.gone),
        done=done_words(day),
        technicians=[
            {"id": int(one.id), "name": one.name, "initials": _initials(day, one.id)}
            for one in problem.technicians
        ],
        visits=[visit.id for visit in problem.visits],
        fills=[{"stop": f"fill:{one.id}", "name": one.name} for one in problem.fills],
        state=state,
    )


@pages.post("/<on>/try.json")
@needs(ACT)
def try_change(on: str) -> Response:
    """Say what a change comes to; nothing is kept."""
    asked = asked_in(request.get_json(silent=True))
    day = _opened(on, asked)
    before = routes_named(day.plan.fixed, asked.routes)
    changed = see_change(day, before, _edit(day, asked) if asked.stop else None)
    return jsonify(state_of(day, changed, before, asked.frame, _zone(day)))


@pages.post("/<on>/places.json")
@needs(ACT)
def places(on: str) -> Response:
    """Say where a stop could go, and what each place costs."""
    asked = asked_in(request.get_json(silent=True))
    day = _opened(on, asked)
    routes = routes_named(day.plan.fixed, asked.routes)
    found = places_for(day, routes, asked.stop, asked.at)
    left = edited(routes, Edit(call=call_named(day.plan.fixed, asked.stop), at=asked.at))
    crew = [one.name for one in day.plan.fixed.technicians]
    return jsonify(places=places_of(day, left, found, crew))


@pages.post("/<on>/save.json")
@needs(ACT)
def save(on: str) -> tuple[Response, int]:
    """Keep a changed day as a version of its own."""
    asked = asked_in(request.get_json(silent=True))
    wanted = ToKeep(
        made_from=asked.version,
        names=asked.routes,
        lifted=asked.lifted,
        although=asked.although,
    )
    with parts().roads() as roads:
        done = keep_change(parts().store, roads, viewer(), date_in(on), wanted, parts().now())
    if done.day is None:
        return jsonify(breaks=list(done.breaks)), 422
    return jsonify(url=url_for("day.show_date", on=on), version=done.day.number), 200


def _edit(day: DayAtHand, asked: Asked) -> Edit:
    return Edit(call=call_named(day.plan.fixed, asked.stop), at=asked.at, to=asked.to)


def _opened(on: str, asked: Asked | None = None) -> DayAtHand:
    """Return the day that a page has opened; it is opened again where it was let go meanwhile."""
    on_date = date_in(on)
    if asked is not None:
        with reading() as session:
            firm_id = firm_of(session, viewer())
        kept = _days().find(firm_id, on_date, asked.opened)
        if kept is not None:
            return kept
    with parts().roads() as roads:
        day = open_day(parts().store, roads, viewer(), on_date)
    if asked is not None:
        if day.day.number != asked.version:
            raise ConflictError("The plan was changed meanwhile. Load the page again.")
        _days().keep(day, asked.opened)
    return day


def _days() -> OpenedDays:
    days: OpenedDays = current_app.extensions.setdefault(OPENED, OpenedDays())
    return days


def _zone(day: DayAtHand) -> str:
    return day.posed.known.zone


def _initials(day: DayAtHand, technician_id: str) -> str:
    return day.posed.records.crew[technician_id].initials
