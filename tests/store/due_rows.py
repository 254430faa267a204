"""Rows for the tests of due dates: a firm, a jurisdiction, sites with one system each."""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime
from typing import Any

from registry.store import Session
from registry.store.tables import (
    Base,
    ComponentRow,
    FirmRow,
    JurisdictionRow,
    ReadingRow,
    SiteRow,
    SystemRow,
    VisitRow,
    VisitTaskRow,
)

LON, LAT = -97.30, 40.20
STEP_DEG = 0.01


def add(session: Session, *rows: Base) -> None:
    """Add rows and send them to the database in this order."""
    for row in rows:
        session.add(row)
        session.flush()


def county(session: Session, rule_set: str = "WA") -> None:
    """Add the firm and the jurisdiction that the other rows belong to."""
    add(
        session,
        FirmRow(id=1, name="Own Firm"),
        FirmRow(id=2, name="Other Firm"),
        JurisdictionRow(id=1, name="Own County", rule_set=rule_set),
        JurisdictionRow(id=2, name="Other County", rule_set=""),
    )


def house(
    session: Session,
    number: int,
    kind: str = "gravity",
    *,
    components: Sequence[str | tuple[str, float]] = (),
    installed_on: date | None = date(2020, 1, 15),
    site: dict[str, Any] | None = None,
    system: dict[str, Any] | None = None,
) -> None:
    """Add site and system with one number; sites stand in a row to the east."""
    place = {"lon": LON + STEP_DEG * number, "lat": LAT}
    own = {"firm_id": 1, "jurisdiction_id": 1, "key": f"S-{number}"} | place | (site or {})
    add(
        session,
        SiteRow(id=number, **own),
        SystemRow(
            id=number, site_id=number, kind=kind, installed_on=installed_on, **(system or {})
        ),
    )
    for one in components:
        what, gal = one if isinstance(one, tuple) else (one, None)
        session.add(ComponentRow(system_id=number, kind=what, capacity_gal=gal))
    session.flush()


def visit(
    session: Session,
    number: int,
    on_date: date,
    tasks: Iterable[str] = ("inspection",),
    readings: Iterable[tuple[str, float]] = (),
    **more: Any,
) -> str:
    """Add a visit to a house with the tasks done and the values read; return its id."""
    ident = f"v-{number}-{on_date}-{len(more)}"
    moment = datetime(2026, 1, 1, tzinfo=UTC)
    add(
        session,
        VisitRow(id=ident, site_id=number, on_date=on_date, recorded_at=moment, **more),
        *(VisitTaskRow(visit_id=ident, system_id=number, task=task) for task in tasks),
        *(
            ReadingRow(
                id=f"{ident}-{kind}",
                visit_id=ident,
                site_id=number,
                system_id=number,
                kind=kind,
                value=value,
                unit="in",
                read_on=on_date,
            )
            for kind, value in readings
        ),
    )
    return ident
