"""In which time zone a viewer's days begin."""

from registry.records.changes import Role, Viewer
from registry.store import Session, names, places


def zone_of(session: Session, viewer: Viewer) -> str:
    """Return the time zone of a viewer's firm or jurisdictions, UTC where none can be told."""
    if viewer.firm_id is not None:
        return names.zone_of_firm(session, viewer.firm_id)
    county = viewer.role is Role.COUNTY
    zones = [
        one.time_zone
        for one in places.jurisdictions(session)
        if not county or one.id in viewer.jurisdiction_ids
    ]
    return zones[0] if zones else "UTC"
