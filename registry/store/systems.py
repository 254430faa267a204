"""Systems with their components and permit conditions."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.elevation import Elevation
from registry.records.places import LonLat
from registry.records.systems import (
    Component,
    ComponentKind,
    PermitCondition,
    System,
    SystemKind,
)
from registry.store.among import among
from registry.store.tables import ComponentRow, PermitConditionRow, SystemRow

SYSTEM_FIELDS = (
    "site_id",
    "key",
    "kind_as_given",
    "permit_no",
    "permit_status",
    "design_flow_gpd",
    "bedrooms",
    "people",
    "installed_on",
    "rule_set",
)
COMPONENT_FIELDS = (
    "system_id",
    "label",
    "bearing_deg",
    "distance_ft",
    "tie_a_ft",
    "tie_b_ft",
    "position_source",
    "position_accuracy_m",
    "cover_in",
    "count",
    "length_ft",
    "pipe_in",
    "orifice_in",
    "spacing_ft",
    "turns_open",
    "capacity_gal",
    "gal_per_in",
    "has_riser",
)
"""Fields that the rows keep under the same name."""


def systems_of_site(session: Session, site_id: int) -> list[System]:
    """Return the systems of one site with components and conditions, by key."""
    return systems_of_sites(session, [site_id])


def systems_of_sites(session: Session, site_ids: Iterable[int]) -> list[System]:
    """Return the systems of some sites with components and conditions, by site and key."""
    rows = session.scalars(
        select(SystemRow)
        .where(among(session, SystemRow.site_id, site_ids))
        .order_by(SystemRow.site_id, SystemRow.key, SystemRow.id)
        .execution_options(populate_existing=True)
    ).all()
    return _whole(session, rows)


def systems(session: Session, system_ids: Iterable[int]) -> list[System]:
    """Return some systems with components and conditions, by id."""
    rows = session.scalars(
        select(SystemRow)
        .where(among(session, SystemRow.id, system_ids))
        .order_by(SystemRow.id)
        .execution_options(populate_existing=True)
    ).all()
    return _whole(session, rows)


def system_ids_of_sites(session: Session, site_ids: Iterable[int]) -> dict[int, dict[str, int]]:
    """Return the ids of the systems of some sites, by site and key."""
    rows = session.execute(
        select(SystemRow.site_id, SystemRow.key, SystemRow.id)
        .where(among(session, SystemRow.site_id, site_ids))
        .order_by(SystemRow.site_id, SystemRow.key)
    )
    found: dict[int, dict[str, int]] = {}
    for site_id, key, system_id in rows:
        found.setdefault(site_id, {})[key] = system_id
    return found


def components_of_systems(session: Session, system_ids: Iterable[int]) -> list[Component]:
    """Return the components of some systems, by system and in the order they came in."""
    rows = session.scalars(
        select(ComponentRow)
        .where(among(session, ComponentRow.system_id, system_ids))
        .order_by(ComponentRow.system_id, ComponentRow.id)
        .execution_options(populate_existing=True)
    )
    return [component_of_row(row) for row in rows]


def component_of_row(row: ComponentRow) -> Component:
    """Return the record of a component's row."""
    place = None
    if row.lon is not None and row.lat is not None:
        place = LonLat(row.lon, row.lat)
    elevation = None
    if row.elevation_ft is not None:
        elevation = Elevation(row.elevation_ft, row.elevation_datum)
    return Component(
        id=row.id,
        kind=ComponentKind(row.kind),
        lon_lat=place,
        elevation=elevation,
        details=dict(row.details),
        **{field: getattr(row, field) for field in COMPONENT_FIELDS},
    )


def _whole(session: Session, rows: Iterable[SystemRow]) -> list[System]:
    rows = list(rows)
    ids = [row.id for row in rows]
    components: dict[int, list[Component]] = {}
    for one in components_of_systems(session, ids):
        components.setdefault(one.system_id, []).append(one)
    conditions: dict[int, list[PermitCondition]] = {}
    found = session.scalars(
        select(PermitConditionRow)
        .where(among(session, PermitConditionRow.system_id, ids))
        .order_by(PermitConditionRow.system_id, PermitConditionRow.id)
        .execution_options(populate_existing=True)
    )
    for row in found:
        conditions.setdefault(row.system_id, []).append(
            PermitCondition(
                task=row.task, months=row.months, citation=row.citation, is_waiver=row.is_waiver
            )
        )
    return [_system(row, components.get(row.id, []), conditions.get(row.id, [])) for row in rows]


def _system(
    row: SystemRow, components: list[Component], conditions: list[PermitCondition]
) -> System:
    kept: dict[str, Any] = {field: getattr(row, field) for field in SYSTEM_FIELDS}
    return System(
        id=row.id,
        kind=SystemKind(row.kind),
        components=tuple(components),
        conditions=tuple(conditions),
        **kept,
    )
