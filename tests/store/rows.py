"""Rows in a store for tests: functions with defaults; a test names only what it is about."""

from datetime import UTC, date, datetime
from typing import Any

from registry.records.places import Box, Firm, Jurisdiction, LonLat
from registry.records.visits import Reading, VisitRecord
from registry.store import Author, Session, places
from registry.store.site_load import SiteLoad
from registry.store.systems import systems_of_site

NOW = datetime(2026, 6, 15, 12, 0, tzinfo=UTC)
PLACE = LonLat(-140.5, 44.5)
BY = Author("a test", NOW, "rows.csv")


def firm(session: Session, name: str = "Invented Firm", **fields: Any) -> int:
    """A firm's id."""
    return places.put_firm(session, Firm(name=name, **fields), BY)[0]


def jurisdiction(session: Session, name: str = "Invented County", **fields: Any) -> int:
    """A jurisdiction's id; its box is one degree wide."""
    fields = {"box": Box(-141.0, 44.0, -140.0, 45.0)} | fields
    return places.put_jurisdiction(session, Jurisdiction(name=name, **fields), BY)[0]


def site(session: Session, key: str = "A-1", at: LonLat | None = PLACE, **fields: Any) -> int:
    """A site's id; it has one system, of the kind ``kind``."""
    from registry.store.sites import site_ids_of

    firm_id, jurisdiction_id = firm(session), jurisdiction(session)
    kind = fields.pop("kind", "mound")
    place = {"lon": [at.lon if at else None], "lat": [at.lat if at else None]}
    load = SiteLoad(session=session, firm_id=firm_id, by=BY)
    load.put(
        [key],
        place | {name: [value] for name, value in fields.items()},
        {"kind": [kind]},
        new_site={"jurisdiction_id": jurisdiction_id},
    )
    return site_ids_of(session, key, firm_id)[0]


def system_of(session: Session, site_id: int) -> int:
    """The id of a site's only system."""
    (only,) = systems_of_site(session, site_id)
    return only.id


def reading(visit_id: str, site_id: int, **fields: Any) -> Reading:
    """A reading of 3 in of scum."""
    return Reading(
        **{
            "id": f"{visit_id}-scum",
            "visit_id": visit_id,
            "site_id": site_id,
            "kind": "scum",
            "value": 3.0,
            "unit": "in",
            "read_on": date(2026, 6, 1),
        }
        | fields
    )


def visit(visit_id: str, site_id: int, **fields: Any) -> VisitRecord:
    """A visit on 1 June 2026."""
    return VisitRecord(
        **{
            "id": visit_id,
            "site_id": site_id,
            "on_date": date(2026, 6, 1),
            "technician": "Invented Person",
            "recorded_at": NOW,
            "readings": (reading(visit_id, site_id),),
        }
        | fields
    )
