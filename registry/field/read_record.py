"""A record as a page or a phone sends it, turned into a visit; all that is wrong is said."""

from collections.abc import Callable, Iterable
from datetime import date
from typing import Any

from registry.errors import RangeError
from registry.field.findings import FINDINGS
from registry.field.record_fields import Body, FieldReader
from registry.records.gate_visit import (
    SERIOUSNESS,
    Answer,
    Ending,
    Finding,
    GateVisit,
    PartState,
    Said,
    TaskOutcome,
)
from registry.records.visits import Reading


def read_record(body: Body, zone: str) -> GateVisit:
    """Return the visit that a record says; its keys stand in docs/gate.md.

    Readings come out with text, not yet with values: whether each can be is another question
    (``registry.field.visit_checks``). Rows that say nothing are left out.

    Parameters
    ----------
    body
        The record's keys and values, as JSON or a form gives them.
    zone
        The site's time zone, for times of day without one.

    Raises
    ------
    RangeError
        With every complaint.
    """
    reader = FieldReader()
    visit_id = reader.uuid(body, "id")
    site_id = reader.id(body, "site_id") or 0
    on_date = reader.day(body, "on_date")
    visit = GateVisit(
        id=visit_id,
        site_id=site_id,
        on_date=on_date,
        technician_id=reader.id(body, "technician_id"),
        arrived_at=reader.moment(body, "arrived_at", on_date, zone),
        left_at=reader.moment(body, "left_at", on_date, zone),
        device_offset_s=reader.number(body, "device_offset_s", (-1e9, 1e9)),
        hazards_seen=reader.yes(body, "hazards_seen"),
        ending=reader.word(body, "ending", Ending, Ending.DONE) or Ending.DONE,
        left_open=reader.text(body, "left_open"),
        note=reader.text(body, "note"),
        from_paper=reader.yes(body, "from_paper"),
        states=_each(reader, body, "states", _state),
        outcomes=_each(reader, body, "outcomes", _outcome),
        readings=_each(reader, body, "readings", _reading_of(visit_id, site_id, on_date)),
        answers=_each(reader, body, "answers", _answer),
        findings=_each(reader, body, "findings", _finding_of(visit_id, site_id)),
        supersedes=reader.uuid(body, "supersedes") if body.get("supersedes") else "",
    )
    if visit.arrived_at and visit.left_at and visit.left_at < visit.arrived_at:
        reader.complaints.append("“left_at” lies before “arrived_at”. Mend one of them.")
    if reader.complaints:
        raise RangeError("\n".join(reader.complaints))
    return visit


def named_tasks(body: Body) -> list[tuple[int, str]]:
    """Return the tasks that a record names, by system, whether it says how they went or not."""
    reader = FieldReader()
    rows = reader.rows(body, "outcomes")
    return [(reader.id(row, "system_id") or 0, reader.text(row, "task")) for row in rows]


def unfolded(form: Iterable[tuple[str, str]]) -> dict[str, Any]:
    """Return the record of a form whose fields are named like ``readings.3.value``.

    The page's script makes the same of its form, so that a form and a JSON record say the same.
    """
    body: dict[str, Any] = {}
    rows: dict[str, dict[int, dict[str, str]]] = {}
    for name, value in form:
        parts = name.split(".")
        if len(parts) == 1:
            body[name] = value
        elif len(parts) == 3 and parts[1].isascii() and parts[1].isdigit() and len(parts[1]) < 5:
            rows.setdefault(parts[0], {}).setdefault(int(parts[1]), {})[parts[2]] = value
    for name, found in rows.items():
        body[name] = [found[number] for number in sorted(found)]
    return body


def _each[T](
    reader: FieldReader, body: Body, name: str, made: Callable[[FieldReader, Body], T | None]
) -> tuple[T, ...]:
    found = (made(reader, row) for row in reader.rows(body, name))
    return tuple(one for one in found if one is not None)


def _state(reader: FieldReader, row: Body) -> PartState | None:
    state = PartState(
        what=reader.text(row, "what"),
        component_id=reader.id(row, "component_id"),
        as_found=reader.text(row, "as_found"),
        as_left=reader.text(row, "as_left"),
        reason=reader.text(row, "reason"),
    )
    return state if state.as_found or state.as_left else None


def _outcome(reader: FieldReader, row: Body) -> TaskOutcome | None:
    outcome = reader.word(row, "outcome", Ending, None)
    if outcome is None:
        return None
    return TaskOutcome(
        system_id=reader.id(row, "system_id") or 0,
        task=reader.text(row, "task"),
        outcome=outcome,
        note=reader.text(row, "note"),
    )


def _answer(reader: FieldReader, row: Body) -> Answer | None:
    said = reader.word(row, "said", Said, None)
    if said is None:
        return None
    return Answer(item=reader.text(row, "item"), said=said, reason=reader.text(row, "reason"))


def _reading_of(
    visit_id: str, site_id: int, on_date: date
) -> Callable[[FieldReader, Body], Reading | None]:
    def made(reader: FieldReader, row: Body) -> Reading | None:
        reading = Reading(
            id="",
            visit_id=visit_id,
            site_id=site_id,
            system_id=reader.id(row, "system_id"),
            component_id=reader.id(row, "component_id"),
            kind=reader.text(row, "kind"),
            value=None,
            text=reader.text(row, "value"),
            read_on=on_date,
            note=reader.text(row, "note"),
            answer=reader.text(row, "answer"),
        )
        return reading if reading.text or reading.note else None

    return made


def _finding_of(visit_id: str, site_id: int) -> Callable[[FieldReader, Body], Finding | None]:
    def made(reader: FieldReader, row: Body) -> Finding | None:
        kind, note = reader.text(row, "kind"), reader.text(row, "note")
        if not kind and not note:
            return None
        if kind not in FINDINGS:
            known = ", ".join(FINDINGS)
            return reader.wrong("kind", f"“{kind[:40]}” is unknown. Use one of: {known}.", None)
        serious = reader.text(row, "seriousness") or FINDINGS[kind].seriousness
        if serious not in SERIOUSNESS:
            reader.wrong("seriousness", f"is one of: {', '.join(SERIOUSNESS)}.", None)
        return Finding(
            id=reader.uuid(row, "id"),
            visit_id=visit_id,
            site_id=site_id,
            system_id=reader.id(row, "system_id"),
            component_id=reader.id(row, "component_id"),
            kind=kind,
            seriousness=serious,
            note=note,
            bearing_deg=reader.number(row, "bearing_deg", (0, 360)),
            distance_ft=reader.number(row, "distance_ft", (0, 5000)),
            owner_told=reader.text(row, "owner_told"),
        )

    return made
