"""A kept visit as the record that would say it, so that it can be shown in its form again."""

from dataclasses import asdict
from typing import Any

from registry.field.reading_words import plain
from registry.field.task_forms import TURNS
from registry.records.gate_visit import Ending, GateVisit, TaskOutcome
from registry.records.visits import Reading, VisitRecord


def as_record(visit: GateVisit) -> dict[str, Any]:
    """Return a visit as a record, see docs/gate.md; moments with their offset, as they were sent.

    A visit that was done partly comes out as one to be closed: its tasks say what was not done.
    """
    ending = Ending.DONE if visit.ending is Ending.PARTLY else visit.ending
    return {
        "id": visit.id,
        "site_id": visit.site_id,
        "on_date": visit.on_date.isoformat(),
        "technician_id": visit.technician_id,
        "arrived_at": visit.arrived_at.isoformat() if visit.arrived_at else "",
        "left_at": visit.left_at.isoformat() if visit.left_at else "",
        "device_offset_s": visit.device_offset_s,
        "hazards_seen": visit.hazards_seen,
        "ending": ending.value,
        "left_open": visit.left_open,
        "note": visit.note,
        "from_paper": visit.from_paper,
        "states": [asdict(one) for one in visit.states],
        "outcomes": [asdict(one) for one in visit.outcomes],
        "readings": [_reading(one) for one in visit.readings if one.kind != TURNS],
        "answers": [asdict(one) for one in visit.answers],
        "findings": [
            {
                "id": "",
                "kind": one.kind,
                "seriousness": one.seriousness,
                "system_id": one.system_id,
                "component_id": one.component_id,
                "note": one.note,
                "bearing_deg": one.bearing_deg,
                "distance_ft": one.distance_ft,
                "owner_told": one.owner_told,
            }
            for one in visit.findings
        ],
        "supersedes": visit.supersedes,
    }


def as_gate_visit(visit: VisitRecord) -> GateVisit:
    """Return a visit that came another way, from a file, as one from the gate: without states."""
    return GateVisit(
        id=visit.id,
        site_id=visit.site_id,
        on_date=visit.on_date,
        technician_id=visit.technician_id,
        note=visit.note,
        from_paper=True,
        outcomes=tuple(
            TaskOutcome(system_id=system_id, task=task, outcome=Ending.DONE)
            for system_id, task in visit.done
        ),
        readings=visit.readings,
    )


def _reading(one: Reading) -> dict[str, Any]:
    return {
        "kind": one.kind,
        "system_id": one.system_id,
        "component_id": one.component_id,
        "value": one.text if one.value is None else plain(one.value),
        "note": one.note,
        "answer": one.answer,
    }
