"""Visits of past months in the invented county, what was found and left among it; all invented."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any
from uuid import UUID, uuid5

from registry.field.task_forms import ReadingAsk
from registry.field.visit_checks import VisitForm
from registry.records.changes import Role, Viewer
from registry.records.reports import ReportSent, ReportTo, SentBy
from registry.records.visits import FOLLOW_UP
from registry.services.note_report import note_sent
from registry.services.record_visit import record_visit
from registry.services.visit_form import see_visit_form
from registry.store import Session, names, sites, visits

IDS = UUID("b9f3f0d2-6a5e-4d33-8f0c-2f4a4b1c7e52")
REPORTED_AFTER_DAYS = 2
ALARM_CALL = "alarm call"
INVENTED = "Invented for the demonstration."


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """One visit: ``found`` says of a state how it was found, and why it was left otherwise.

    ``readings`` are values by kind, "+20" = so much more than the last; ``finding`` is that of the
    visit.
    """

    on_date: date
    task: str
    found: Mapping[str, tuple[str, str]] = field(default_factory=dict)
    readings: Mapping[str, str] = field(default_factory=dict)
    finding: Mapping[str, str] = field(default_factory=dict)


OF_SITES = {
    "W-1057": (
        Told(
            on_date=date(2026, 2, 17),
            task=ALARM_CALL,
            found={
                "breaker": ("tripped", "reset once; the pump drew its usual amps"),
                "alarm": ("sounding", "silent again once the level was down"),
                "balancing valve 2": ("0", "found shut, opened to the turns on file"),
            },
            readings={"counter": "+402", "hour meter": "+29.2", "static level": "29.5"},
            finding={
                "kind": "pump or float fault",
                "note": "float hangs on the riser's rope and let the tank fill",
                "owner_told": "use little water until the float is tied up",
            },
        ),
        Told(on_date=date(2026, 2, 24), task=FOLLOW_UP),
    ),
    "W-1094": (
        Told(
            on_date=date(2026, 3, 11),
            task=ALARM_CALL,
            found={"selector": ("off", "somebody had switched it off in the power cut")},
            readings={"counter": "+510", "hour meter": "+14.1", "static level": "23"},
        ),
    ),
}
"""Site → its visits, the first one first."""


def keep_demo_visits(session: Session, now: datetime) -> int:
    """Record the visits and note their reports as sent; return how many there are."""
    count = 0
    for key, told in OF_SITES.items():
        for firm_id in names.firm_ids(session).values():
            for site_id in sites.site_ids_of(session, key, firm_id):
                who = Viewer(name="demonstration", role=Role.ADMINISTRATOR, firm_id=firm_id)
                for one in told:
                    _keep(session, who, site_id, one, now)
                    count += 1
    return count


def _keep(session: Session, who: Viewer, site_id: int, told: Told, now: datetime) -> None:
    view = see_visit_form(session, who, site_id, told.on_date, (told.task,))
    made = visits.visits_of_site(session, site_id)
    visit_id = str(uuid5(IDS, f"{view.site.key} {told.on_date}"))
    body = {
        "id": visit_id,
        "site_id": site_id,
        "on_date": told.on_date.isoformat(),
        "technician_id": next((one.technician_id for one in made if one.technician_id), None),
        "arrived_at": "10:05",
        "left_at": "11:10",
        "hazards_seen": True,
        "ending": "done",
        "note": INVENTED,
        "outcomes": [
            {"system_id": one.system_id, "task": one.code, "outcome": "done"}
            for one in view.form.tasks
            if one.code == told.task
        ],
        **_states(view.form, told),
        "readings": [
            _reading(ask, told)
            for one in view.form.tasks
            if one.code == told.task
            for ask in one.readings
        ],
        "findings": [{"id": str(uuid5(IDS, f"{visit_id} finding")), **told.finding}]
        if told.finding
        else [],
    }
    record_visit(session, who, body, now, lambda _: now.date())
    sent_on = told.on_date + timedelta(days=REPORTED_AFTER_DAYS)
    for to in ReportTo:
        sent = ReportSent(visit_id=visit_id, to=to, sent_on=sent_on, how=SentBy.POST)
        note_sent(session, who, sent, now.date(), now)


def _states(form: VisitForm, told: Told) -> dict[str, Any]:
    """Return states and answers: all in order but what was found otherwise, which is mended."""
    labels = {one.id: one.label for one in form.components}
    states = []
    for ask in form.asks:
        name = labels.get(ask.component_id or 0) if ask.what == "valve" else ask.what
        in_order = ask.in_order or (ask.words[0] if ask.words else "2")
        as_found, reason = told.found.get(name or "", (in_order, ""))
        state = {"what": ask.what, "component_id": ask.component_id, "as_found": as_found}
        states.append(state | {"as_left": in_order, "reason": reason})
    by_state = {ask.item for ask in form.asks}
    answers = [{"item": one.code, "said": "yes"} for one in form.items if one.code not in by_state]
    return {"states": states, "answers": answers}


def _reading(ask: ReadingAsk, told: Told) -> dict[str, Any]:
    said = told.readings.get(ask.kind.code, "")
    if said.startswith("+"):
        said = f"{(ask.last.value or 0) + float(said):g}"
    elif not said and ask.kind.choices:
        said = ask.kind.choices[0]
    where = {"system_id": ask.system_id, "component_id": ask.component_id}
    answer = {"answer": "read twice, it stands"} if said else {"note": "out of time"}
    return {"kind": ask.kind.code, "value": said, **where, **answer}
