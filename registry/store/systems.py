"""Systems with their components and permit conditions, read set-based."""

from collections import defaultdict
from collections.abc import Collection

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.elevation import Elevation
from registry.records.places import LonLat
from registry.records.systems import Component, ComponentKind, PermitCondition, System, SystemKind
from registry.store.sites import batches
from registry.store.tables import ComponentRow, PermitConditionRow, SystemRow


def systems_of(session: Session, site_ids: Collection[int]) -> dict[int, list[System]]:
    """Return the systems of each site, by site id; a site without one is not in the answer."""
    found: dict[int, list[System]] = defaultdict(list)
    for batch in batches(site_ids):
        rows = list(
            session.scalars(
                select(SystemRow).where(SystemRow.site_id.in_(batch)).order_by(SystemRow.id)
            )
        )
        ids = [row.id for row in rows]
        parts, conditions = components_of(session, ids), conditions_of(session, ids)
        for row in rows:
            found[row.site_id].append(_system(row, parts[row.id], conditions[row.id]))
    return dict(found)


def components_of(
    session: Session, system_ids: Collection[int]
) -> defaultdict[int, list[Component]]:
    """Return the components of each system, by system id."""
    found: defaultdict[int, list[Component]] = defaultdict(list)
    for batch in batches(system_ids):
        for row in session.scalars(
            select(ComponentRow).where(ComponentRow.system_id.in_(batch)).order_by(ComponentRow.id)
        ):
            found[row.system_id].append(_component(row))
    return found


def conditions_of(
    session: Session, system_ids: Collection[int]
) -> defaultdict[int, list[PermitCondition]]:
    """Return the permit conditions and waivers of each system, by system id."""
    found: defaultdict[int, list[PermitCondition]] = defaultdict(list)
    for batch in batches(system_ids):
        for row in session.scalars(
            select(PermitConditionRow)
            .where(PermitConditionRow.system_id.in_(batch))
            .order_by(PermitConditionRow.id)
        ):
            found[row.system_id].append(
                PermitCondition(
                    task=row.task,
                    months=row.months,
                    citation=row.citation,
                    is_waiver=row.is_waiver,
                )
            )
    return found


SYSTEM_SAME = (
    "id", "site_id", "key", "kind_as_given", "permit_no", "permit_status", "design_flow_gpd",
    "bedrooms", "people", "installed_on", "rule_set",
)  # fmt: skip
COMPONENT_SAME = (
    "id", "system_id", "label", "bearing_deg", "distance_ft", "tie_a_ft", "tie_b_ft", "cover_in",
    "count", "length_ft", "pipe_in", "orifice_in", "spacing_ft", "turns_open", "capacity_gal",
    "gal_per_in", "has_riser",
)  # fmt: skip


def _system(row: SystemRow, parts: list[Component], conditions: list[PermitCondition]) -> System:
    return System(
        **{name: getattr(row, name) for name in SYSTEM_SAME},
        kind=SystemKind(row.kind),
        components=tuple(parts),
        conditions=tuple(conditions),
    )


def _component(row: ComponentRow) -> Component:
    placed = row.lon is not None and row.lat is not None
    measured = row.elevation_ft is not None
    return Component(
        **{name: getattr(row, name) for name in COMPONENT_SAME},
        kind=ComponentKind(row.kind),
        lon_lat=LonLat(row.lon or 0.0, row.lat or 0.0) if placed else None,
        elevation=Elevation(row.elevation_ft or 0.0, row.elevation_datum) if measured else None,
        details=dict(row.details),
    )
