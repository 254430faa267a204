"""Which fields a role may see and which acts it may do; every reading service goes by it."""

from dataclasses import fields, is_dataclass, replace
from typing import Any

from registry.errors import AccessError
from registry.records.changes import Change, Role, Viewer
from registry.records.gate_visit import Finding, GateVisit, PartState, TaskOutcome
from registry.records.photos import Photo
from registry.records.places import Agreement, Site
from registry.records.reports import FindingMended, ReportSent
from registry.records.systems import Component, System
from registry.records.visits import DueVisit, Hold, Reading, VisitRecord
from registry.records.work import Obligation

OWNER = frozenset({"owner_name", "owner_phone", "owner_email", "owner_address"})
GATE = frozenset({"gate_code", "gate_note", "access_note", "private_note", "note"})
HOME = frozenset({"hazards", "windows", "exceptions", "water_available_gal"})
HABITS = frozenset({"occupied_share", "season_from", "season_to"})

HIDDEN: dict[type, dict[Role, frozenset[str]]] = {
    Site: {Role.COUNTY: OWNER | GATE | HOME | HABITS},
    Agreement: {Role.COUNTY: frozenset({"includes", "renewal"})},
    VisitRecord: {Role.COUNTY: frozenset({"note", "technician_id"})},
    Reading: {Role.COUNTY: frozenset({"note"})},
    GateVisit: {
        Role.COUNTY: frozenset({"note", "technician_id", "left_open", "answers", "hazards_seen"})
    },
    TaskOutcome: {Role.COUNTY: frozenset({"note"})},
    PartState: {Role.COUNTY: frozenset({"reason"})},
    Finding: {Role.COUNTY: frozenset({"owner_told"})},
    Photo: {Role.COUNTY: frozenset({"technician_id"})},
    ReportSent: {Role.COUNTY: frozenset({"note", "noted_by"})},
    FindingMended: {Role.COUNTY: frozenset({"note", "noted_by"})},
    DueVisit: {Role.COUNTY: frozenset({"windows", "closed_why", "hold", "walk_ft", "walk_min"})},
    Hold: {Role.COUNTY: frozenset({"note", "held_by"})},
    Obligation: {Role.COUNTY: frozenset({"reason"})},  # it may tell how much of a year is lived in
}
"""Record → role → the fields that are blanked for it. A role that is not named sees all fields."""

PRIVATE_KINDS = ("window", "hold")
"""Kinds of changes, by a part of their name, of which county staff see none."""

WHERE = frozenset({"position", "position_source", "position_accuracy_m"})
SITE_AT_THE_GATE = frozenset({"access_note", "gate_note", "hazards", "water_available_gal"}) | {
    *("corner_note", "corner_b_note", "corner_b_bearing_deg", "corner_b_distance_ft"),
}
SITE_OF_THE_FIRM = OWNER | GATE | HOME | HABITS | SITE_AT_THE_GATE | WHERE
SITE_OF_THE_FIRM |= {"address", "town", "parcel", "active"}
SYSTEM_OF_THE_FIRM = frozenset({"kind", "permit_no", "permit_status", "design_flow_gpd"}) | {
    *("bedrooms", "people", "installed_on"),
}
COMPONENT_AT_THE_GATE = WHERE | {
    *("label", "bearing_deg", "distance_ft", "tie_a_ft", "tie_b_ft", "cover_in", "has_riser"),
    "turns_open",
}
COMPONENT_OF_THE_FIRM = COMPONENT_AT_THE_GATE | {
    *("kind", "elevation_ft", "elevation_datum", "count", "length_ft", "pipe_in", "orifice_in"),
    *("spacing_ft", "capacity_gal", "gal_per_in"),
}
AGREEMENT = frozenset({"starts_on", "ends_on", "visits_a_year", "includes", "renewal", "renews_on"})

CHANGES: dict[type, dict[Role, frozenset[str]]] = {
    Site: {
        Role.DISPATCHER: SITE_OF_THE_FIRM,
        Role.TECHNICIAN: SITE_AT_THE_GATE,
        Role.COUNTY: frozenset({"address", "town", "parcel", "jurisdiction"}),
        Role.ADMINISTRATOR: SITE_OF_THE_FIRM | {"jurisdiction"},
    },
    System: {
        Role.DISPATCHER: SYSTEM_OF_THE_FIRM,
        Role.COUNTY: (SYSTEM_OF_THE_FIRM | {"rule_set"}) - {"people"},
        Role.ADMINISTRATOR: SYSTEM_OF_THE_FIRM | {"rule_set"},
    },
    Component: {
        Role.DISPATCHER: COMPONENT_OF_THE_FIRM,
        Role.TECHNICIAN: COMPONENT_AT_THE_GATE,
        Role.ADMINISTRATOR: COMPONENT_OF_THE_FIRM,
    },
    Agreement: {Role.DISPATCHER: AGREEMENT, Role.ADMINISTRATOR: AGREEMENT},
}
"""Record → role → the fields of it that the role may change at once."""

PROPOSES: dict[type, dict[Role, frozenset[str]]] = {
    Site: {Role.TECHNICIAN: SITE_OF_THE_FIRM - SITE_AT_THE_GATE - {"active"}},
    System: {Role.TECHNICIAN: SYSTEM_OF_THE_FIRM},
    Component: {Role.TECHNICIAN: COMPONENT_OF_THE_FIRM - COMPONENT_AT_THE_GATE},
}
"""Record → role → the fields of it that the role may propose; the office settles what holds."""

ACTS: dict[str, frozenset[Role]] = {
    "see the day": frozenset({Role.DISPATCHER, Role.TECHNICIAN, Role.ADMINISTRATOR}),
    "order the day": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "hold a visit": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "note how the day goes": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "close a road": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "set road speeds": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "record a visit": frozenset({Role.DISPATCHER, Role.TECHNICIAN, Role.ADMINISTRATOR}),
    "settle what two people wrote": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "change a site file": frozenset(Role),
    "merge two records": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "change the owner at a sale": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "see reports owed": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "note a report sent": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "take in reports": frozenset({Role.COUNTY, Role.ADMINISTRATOR}),
    "write letters": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "read a gate sheet": frozenset({Role.DISPATCHER, Role.TECHNICIAN, Role.ADMINISTRATOR}),
    "read a site file": frozenset(Role),
    "see all photos of a site": frozenset({Role.DISPATCHER, Role.TECHNICIAN, Role.ADMINISTRATOR}),
    "see photos of findings": frozenset(Role),
    "see the due list": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "see the county map": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "see high water": frozenset(Role),
    "see the numbers": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "decide on imports": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "take files out": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "read features": frozenset({Role.DISPATCHER, Role.COUNTY, Role.ADMINISTRATOR}),
    "pair phones": frozenset({Role.DISPATCHER, Role.ADMINISTRATOR}),
    "change the own sign-in": frozenset(Role),
    "manage sign-ins": frozenset({Role.ADMINISTRATOR}),
    "see who read what": frozenset({Role.ADMINISTRATOR}),
    "read the measurements": frozenset({Role.ADMINISTRATOR}),
    "handle personal data": frozenset({Role.ADMINISTRATOR}),
}
"""What each role may do; the same table stands in docs/roles.md."""


def for_role[R](record: R, role: Role) -> R:
    """Return the record with every field blanked that the role may not see.

    A blanked field takes its default, so that nothing tells "hidden" from "not recorded". Records
    inside the record are filtered too.
    """
    if not is_dataclass(record) or isinstance(record, type):
        return record
    hidden = HIDDEN.get(type(record), {}).get(role, frozenset())
    instead: dict[str, Any] = {}
    for field in fields(record):
        value = getattr(record, field.name)
        if field.name in hidden:
            instead[field.name] = _blank(field)
        elif isinstance(value, tuple) and value and is_dataclass(value[0]):
            instead[field.name] = tuple(for_role(one, role) for one in value)
        elif is_dataclass(value) and type(value) in HIDDEN:
            instead[field.name] = for_role(value, role)
    return replace(record, **instead) if instead else record


def _blank(field: Any) -> Any:  # noqa: ANN401 - a dataclass field and its default
    from dataclasses import MISSING

    if field.default is not MISSING:
        return field.default
    if field.default_factory is not MISSING:
        return field.default_factory()
    return None


def sees_change(viewer: Viewer, change: Change) -> bool:
    """Tell whether a line of the history is for the viewer: it is as private as its field."""
    hidden = {name for roles in HIDDEN.values() for name in roles.get(viewer.role, ())}
    if not hidden:
        return True
    return change.field not in hidden and not any(word in change.kind for word in PRIVATE_KINDS)


def changes(role: Role, record: type, field: str) -> bool:
    """Tell whether a role may change a field of a record at once."""
    return field in CHANGES[record].get(role, frozenset())


def proposes(role: Role, record: type, field: str) -> bool:
    """Tell whether a role may propose a value for a field of a record."""
    return field in PROPOSES.get(record, {}).get(role, frozenset())


def may(viewer: Viewer, act: str) -> bool:
    """Tell whether the viewer's role may do an act of ``ACTS``."""
    return viewer.role in ACTS[act]


def require(viewer: Viewer, act: str) -> None:
    """Raise AccessError unless the viewer's role may do the act."""
    if not may(viewer, act):
        raise AccessError(f"Your sign-in may not do this: {act}. Ask the administrator.")


def sees_site(viewer: Viewer, site: Site) -> bool:
    """Tell whether a site is in the viewer's firm or jurisdictions."""
    if viewer.role is Role.ADMINISTRATOR and viewer.firm_id is None:
        return True
    if viewer.role is Role.COUNTY:
        return site.jurisdiction_id in viewer.jurisdiction_ids
    return site.firm_id == viewer.firm_id


def sees_photo(viewer: Viewer, photo: Photo) -> bool:
    """Tell whether a photo of a site that the viewer sees is for them too."""
    act = "see photos of findings" if photo.finding_id else "see all photos of a site"
    return may(viewer, act)
