"""Flood facts of sites: what they are worked out from, which areas hold them, and keeping them."""

from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import fields
from typing import Any

import numpy as np
import numpy.typing as npt
from sqlalchemy import delete, func, select, text
from sqlalchemy.orm import Session

from registry.flood.areas import Outlines, areas_at
from registry.flood.sites import FloodSite, positions_deg
from registry.records.elevation import Elevation
from registry.records.flood import BfeLine, FloodArea, FloodFact
from registry.records.places import LonLat
from registry.store.among import among
from registry.store.bulk import insert_columns
from registry.store.tables import (
    BfeLineRow,
    ComponentRow,
    FloodAreaRow,
    FloodFactRow,
    JurisdictionRow,
    SiteRow,
    SystemRow,
)

STEP = 50_000
"""Sites that are looked at together; bounds memory."""
PLAIN = tuple(one.name for one in fields(FloodFact) if one.name not in {"bfe", "flagged_at"})
"""Fields that row and record share."""


def sites_in_hazard_area(session: Session, firm_id: int) -> set[int]:
    """Return the sites of a firm that lie in a special flood hazard area."""
    asked = (
        select(FloodFactRow.site_id)
        .join(SiteRow, SiteRow.id == FloodFactRow.site_id)
        .where(SiteRow.firm_id == firm_id, FloodFactRow.in_hazard_area.is_(True))
    )
    return set(session.scalars(asked))


def flood_areas(session: Session) -> list[FloodArea]:
    """Return all flood hazard areas, by id."""
    rows = session.scalars(select(FloodAreaRow).order_by(FloodAreaRow.id))
    return [
        FloodArea(
            id=row.id,
            source_key=row.source_key,
            zone=row.zone,
            subtype=row.subtype,
            sfha=row.sfha,
            static_bfe=(
                None if row.static_bfe_ft is None else Elevation(row.static_bfe_ft, row.datum)
            ),
            depth_ft=row.depth_ft,
            geometry=row.geom,
            given=dict(row.given),
        )
        for row in rows
    ]


def bfe_lines(session: Session) -> list[BfeLine]:
    """Return all base flood elevation lines, by id."""
    rows = session.scalars(select(BfeLineRow).order_by(BfeLineRow.id))
    return [
        BfeLine(
            id=row.id,
            source_key=row.source_key,
            elevation=Elevation(row.elevation_ft, row.datum),
            geometry=row.geom,
        )
        for row in rows
    ]


def flood_sites(
    session: Session, site_ids: Collection[int] | None = None
) -> Iterator[list[FloodSite]]:
    """Yield sites as the flood layers see them, those given or all, in parts of bounded size."""
    if site_ids is not None:
        listed = sorted(set(site_ids))
        for start in range(0, len(listed), STEP):
            yield _sites(session, among(session, SiteRow.id, listed[start : start + STEP]))
        return
    low = 0
    while True:
        ids = select(SiteRow.id).where(SiteRow.id > low).order_by(SiteRow.id).limit(STEP)
        high = session.scalar(select(func.max(ids.subquery().c.id)))
        if high is None:
            return
        yield _sites(session, SiteRow.id.between(low + 1, high))
        low = high


def areas_of_sites(
    session: Session, sites: Sequence[FloodSite], outlines: Outlines
) -> npt.NDArray[np.int64]:
    """Return which areas hold which sites, edges included, as pairs of indices, sorted; (k, 2).

    PostGIS is asked where the store is one, otherwise the sites are joined here; areas with a
    faulty outline hold nothing either way.
    """
    if session.get_bind().dialect.name != "postgresql":
        return areas_at(positions_deg(sites), outlines)
    if not sites:
        return np.empty((0, 2), dtype=np.int64)
    of_site = {one.site_id: at for at, one in enumerate(sites)}
    of_area = {area.id: at for at, area in enumerate(outlines.areas)}
    faulty = [
        area.id for area, sound in zip(outlines.areas, outlines.is_sound, strict=True) if not sound
    ]
    low, high = min(of_site), max(of_site)
    asked = (
        select(SiteRow.id, FloodAreaRow.id)
        .join(FloodAreaRow, text("ST_Intersects(site.geom, flood_area.geom)"))
        .where(SiteRow.id.between(low, high))  # cheap, so it is looked at before the outlines
    )
    if faulty:
        asked = asked.where(~among(session, FloodAreaRow.id, faulty))
    if len(of_site) <= (high - low) // 2:
        asked = asked.where(among(session, SiteRow.id, list(of_site)))
    found = [
        (of_site[site], of_area[area])
        for site, area in session.execute(asked)
        if site in of_site and area in of_area
    ]
    pairs = np.array(found, dtype=np.int64).reshape(-1, 2)
    return pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]


def save_facts(session: Session, facts: Sequence[FloodFact]) -> None:
    """Keep what the flood layers say of sites, in place of what was kept of them."""
    if not facts:
        return
    ids = [one.site_id for one in facts]
    session.execute(delete(FloodFactRow).where(among(session, FloodFactRow.site_id, ids)))
    columns: dict[str, list[Any]] = {name: [getattr(one, name) for one in facts] for name in PLAIN}
    columns["bfe_ft"] = [one.bfe.value_ft if one.bfe else None for one in facts]
    columns["bfe_datum"] = [one.bfe.datum if one.bfe else "" for one in facts]
    columns["flagged_at"] = [one.flagged_at for one in facts]
    insert_columns(session, FloodFactRow, columns)
    session.expire_all()


def facts_of_sites(session: Session, site_ids: Iterable[int]) -> dict[int, FloodFact]:
    """Return what the flood layers say of some sites, by id; sites that were never asked lack."""
    rows = session.scalars(
        select(FloodFactRow)
        .where(among(session, FloodFactRow.site_id, site_ids))
        .execution_options(populate_existing=True)
    )
    return {
        row.site_id: FloodFact(
            bfe=None if row.bfe_ft is None else Elevation(row.bfe_ft, row.bfe_datum),
            flagged_at=row.flagged_at,
            **{name: getattr(row, name) for name in PLAIN},
        )
        for row in rows
    }


def _sites(session: Session, which: Any) -> list[FloodSite]:  # noqa: ANN401 - a condition
    equipment: dict[int, list[tuple[str, Elevation]]] = {}
    parts = session.execute(
        select(
            SystemRow.site_id,
            ComponentRow.label,
            ComponentRow.kind,
            ComponentRow.elevation_ft,
            ComponentRow.elevation_datum,
        )
        .join(SystemRow, SystemRow.id == ComponentRow.system_id)
        .join(SiteRow, SiteRow.id == SystemRow.site_id)
        .where(which, ComponentRow.elevation_ft.is_not(None))
        .order_by(ComponentRow.system_id, ComponentRow.id)
    )
    for site_id, label, kind, elevation_ft, datum in parts:
        if elevation_ft is not None:
            height = Elevation(elevation_ft, datum)
            equipment.setdefault(site_id, []).append((label or kind, height))
    rows = session.execute(
        select(SiteRow.id, SiteRow.lon, SiteRow.lat, JurisdictionRow.ngvd29_to_navd88_ft)
        .join(JurisdictionRow, JurisdictionRow.id == SiteRow.jurisdiction_id)
        .where(which)
        .order_by(SiteRow.id)
    )
    return [
        FloodSite(
            site_id=site_id,
            lon_lat=None if lon is None or lat is None else LonLat(lon, lat),
            equipment=tuple(equipment.get(site_id, ())),
            ngvd29_to_navd88_ft=offset_ft,
        )
        for site_id, lon, lat, offset_ft in rows
    ]
