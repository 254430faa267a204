"""Which components can go under at which stage: what it is worked out from, keeping and asking."""

from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass

from sqlalchemy import ColumnElement, Row, Select, and_, delete, false, func, or_, select
from sqlalchemy.orm import Session

from registry.records.high_water import PartUnder
from registry.records.systems import ComponentKind
from registry.store.among import among
from registry.store.bulk import insert_columns
from registry.store.due_input import Part as Systems
from registry.store.scope import Scope
from registry.store.tables import (
    ComponentRow,
    ComponentStageRow,
    JurisdictionRow,
    ObligationRow,
    SiteRow,
    SystemRow,
)

STEP = 50_000
"""Sites that are looked at together; bounds memory."""
SURVEYED = (
    ComponentKind.CONTROL_PANEL,
    ComponentKind.DISCONNECT,
    ComponentKind.LID,
    ComponentKind.VENT,
    ComponentKind.TREATMENT_UNIT,
)
"""What is to be measured at a site on a flood plain: panel, disconnect, lowest lid, vent, blower;
common practice, no source."""

type Part = tuple[int, float, float, float | None, str, float | None]
"""Component, longitude, latitude, elevation [ft], its datum, stated offset [ft]."""
type Box = tuple[float, float, float, float]


def parts_in(
    session: Session, box: Box, site_ids: Collection[int] | None = None
) -> Iterator[list[Part]]:
    """Yield components with an elevation, and those that should have one, in a box of degrees.

    Parameters
    ----------
    box
        West, south, east, north. [deg]
    site_ids
        Only of these sites; None = all.
    """
    west, south, east, north = box
    asked = (
        select(
            ComponentRow.id,
            func.coalesce(ComponentRow.lon, SiteRow.lon),
            func.coalesce(ComponentRow.lat, SiteRow.lat),
            ComponentRow.elevation_ft,
            ComponentRow.elevation_datum,
            JurisdictionRow.ngvd29_to_navd88_ft,
        )
        .join(SystemRow, SystemRow.id == ComponentRow.system_id)
        .join(SiteRow, SiteRow.id == SystemRow.site_id)
        .join(JurisdictionRow, JurisdictionRow.id == SiteRow.jurisdiction_id)
        .where(SiteRow.lon.between(west, east), SiteRow.lat.between(south, north))
        .where(or_(ComponentRow.elevation_ft.is_not(None), ComponentRow.kind.in_(SURVEYED)))
        .order_by(ComponentRow.id)
    )
    if site_ids is not None:
        asked = asked.where(among(session, SiteRow.id, site_ids))
    for rows in session.execute(asked).partitions(STEP):
        yield [(row[0], row[1], row[2], row[3], row[4], row[5]) for row in rows]


def forget_stages(session: Session, site_ids: Collection[int] | None = None) -> None:
    """Take away what was worked out, of all sites or of some."""
    gone = delete(ComponentStageRow)
    if site_ids is not None:
        mine = (
            select(ComponentRow.id)
            .join(SystemRow, SystemRow.id == ComponentRow.system_id)
            .where(among(session, SystemRow.site_id, site_ids))
        )
        gone = gone.where(ComponentStageRow.component_id.in_(mine))
    session.execute(gone)


def keep_stages(session: Session, columns: dict[str, list[object]]) -> None:
    """Keep what was worked out, as columns of the table."""
    insert_columns(session, ComponentStageRow, columns)


def lowest_stages(
    session: Session, part: Systems, highest_ft: Mapping[int, float]
) -> list[tuple[int, int, float]]:
    """Return system, gauge and the stage that puts its lowest measured part under water.

    Parameters
    ----------
    part
        Which systems.
    highest_ft
        By gauge the stage up to which systems are wanted. [ft]
    """
    stage = func.min(ComponentStageRow.stage_ft)
    asked = (
        select(ComponentRow.system_id, ComponentStageRow.gauge_id, stage)
        .join(ComponentStageRow, ComponentStageRow.component_id == ComponentRow.id)
        .where(_upto(highest_ft), part.holds(session, system=ComponentRow.system_id))
        .group_by(ComponentRow.system_id, ComponentStageRow.gauge_id)
    )
    return [
        (system_id, gauge_id, stage_ft)
        for system_id, gauge_id, stage_ft in session.execute(asked)
        if gauge_id is not None and stage_ft is not None
    ]


def sites_to_check(session: Session, highest_ft: Mapping[int, float], task: str) -> list[int]:
    """Return the sites with a part under water by stages of gauges, and those that owe a task."""
    under = (
        select(SystemRow.site_id)
        .join(ComponentRow, ComponentRow.system_id == SystemRow.id)
        .join(ComponentStageRow, ComponentStageRow.component_id == ComponentRow.id)
        .where(_upto(highest_ft))
    )
    owing = select(ObligationRow.site_id).where(ObligationRow.task == task)
    return sorted({*session.scalars(under), *session.scalars(owing)})


def _upto(highest_ft: Mapping[int, float]) -> ColumnElement[bool]:
    row = ComponentStageRow
    each = [and_(row.gauge_id == one, row.stage_ft <= ft) for one, ft in highest_ft.items()]
    return or_(false(), *each)


@dataclass(frozen=True, slots=True)
class Counts:
    """How many components, and sites that they belong to."""

    parts: int
    sites: int


def under_at(session: Session, scope: Scope, gauge_id: int, stage_ft: float) -> Counts:
    """Return how much goes under at a stage of a gauge or below it."""
    which = and_(ComponentStageRow.gauge_id == gauge_id, ComponentStageRow.stage_ft <= stage_ft)
    if scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id):
        both = select(func.count(), func.count(SiteRow.id.distinct()))
        parts, sites = session.execute(_beside(scope, both, which)).one()
        return Counts(parts, sites)
    systems = (
        select(ComponentRow.system_id)
        .join(ComponentStageRow, ComponentStageRow.component_id == ComponentRow.id)
        .where(which)
        .distinct()
        .subquery()
    )
    sites_of = select(func.count(SystemRow.site_id.distinct())).join(
        systems, systems.c.system_id == SystemRow.id
    )
    parts = session.scalar(_within(scope, select(func.count()), which)) or 0
    return Counts(parts, session.scalar(sites_of) or 0)


def by_half_foot(session: Session, scope: Scope, gauge_id: int) -> list[tuple[float, int]]:
    """Return how many components go under within each half foot, by the stage where it begins."""
    half = func.floor(2 * ComponentStageRow.stage_ft)
    which = and_(ComponentStageRow.gauge_id == gauge_id, ComponentStageRow.stage_ft.is_not(None))
    asked = _within(scope, select(half, func.count()), which).group_by(half).order_by(half)
    return [(float(step) / 2, n) for step, n in session.execute(asked)]


def first_under(
    session: Session, scope: Scope, gauge_id: int, from_ft: float, upto_ft: float, most: int
) -> list[PartUnder]:
    """Return components that go under above one stage and up to another, the first ones first."""
    stage = ComponentStageRow.stage_ft
    which = and_(ComponentStageRow.gauge_id == gauge_id, stage > from_ft, stage <= upto_ft)
    asked = _beside(scope, select(*_COLUMNS), which).order_by(stage, ComponentRow.id).limit(most)
    return [_part(row) for row in session.execute(asked)]


def unknown_parts(session: Session, scope: Scope, most: int) -> tuple[int, list[PartUnder]]:
    """Return of how many components nothing is known, and the first of them by site."""
    which = ComponentStageRow.why_unknown != ""
    count = session.scalar(_within(scope, select(func.count()), which)) or 0
    asked = _beside(scope, select(*_COLUMNS), which).order_by(SiteRow.key, ComponentRow.id)
    return count, [_part(row) for row in session.execute(asked.limit(most))]


def stages_on_map(
    session: Session, scope: Scope, gauge_id: int, most: int
) -> list[tuple[int, str, float, float, str, float]]:
    """Return site, its key, longitude, latitude, part and the stage that puts it under.

    Those that go under first come first, and at most so many.
    """
    stage = ComponentStageRow.stage_ft
    asked = _beside(
        scope,
        select(
            SiteRow.id,
            SiteRow.key,
            SiteRow.lon,
            SiteRow.lat,
            ComponentRow.label,
            ComponentRow.kind,
            stage,
        ),
        and_(ComponentStageRow.gauge_id == gauge_id, stage.is_not(None)),
    )
    rows = session.execute(asked.order_by(stage, ComponentRow.id).limit(most))
    return [
        (site_id, key, lon, lat, label or kind, stage_ft)
        for site_id, key, lon, lat, label, kind, stage_ft in rows
        if lon is not None and lat is not None and stage_ft is not None
    ]


_COLUMNS = (
    SiteRow.id,
    SiteRow.key,
    SystemRow.key,
    ComponentRow.label,
    ComponentRow.kind,
    ComponentRow.elevation_ft,
    ComponentRow.elevation_datum,
    ComponentStageRow.stage_ft,
    ComponentStageRow.why_unknown,
)


def _within[*T](scope: Scope, asked: Select[*T], which: ColumnElement[bool]) -> Select[*T]:
    """Ask of stages alone where a viewer may see all sites: joins cost more than the counting."""
    if not scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id):
        return asked.select_from(ComponentStageRow).where(which)
    return _beside(scope, asked, which)


def _beside[*T](scope: Scope, asked: Select[*T], which: ColumnElement[bool]) -> Select[*T]:
    return (
        asked.select_from(ComponentStageRow)
        .join(ComponentRow, ComponentRow.id == ComponentStageRow.component_id)
        .join(SystemRow, SystemRow.id == ComponentRow.system_id)
        .join(SiteRow, SiteRow.id == SystemRow.site_id)
        .where(which, *scope.conditions(SiteRow.firm_id, SiteRow.jurisdiction_id))
    )


def _part(row: Row[int, str, str, str, str, float | None, str, float | None, str]) -> PartUnder:
    site_id, site, system, label, kind, elevation_ft, datum, stage_ft, why = row
    return PartUnder(
        site_id=site_id,
        site=site,
        system=system,
        part=label or kind,
        kind=kind,
        elevation_ft=elevation_ft,
        datum=datum,
        stage_ft=stage_ft,
        why_unknown=why,
    )
