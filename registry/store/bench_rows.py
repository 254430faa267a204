"""Rows of an invented county for benchmarks, many at once; the places lie in an ocean."""

from datetime import UTC, date, datetime, timedelta

import numpy as np
import shapely
from sqlalchemy.orm import Session

from registry.records.gate_visit import SERIOUS
from registry.records.places import LonLat
from registry.records.systems import SystemKind
from registry.store.bulk import insert_columns, reserve_ids
from registry.store.tables import (
    AgreementRow,
    FindingRow,
    FirmRow,
    FloodAreaRow,
    JurisdictionRow,
    SiteRow,
    SystemRow,
    VisitRow,
    VisitTaskRow,
)

SITES_A_COUNTY = 50_000
ROWS_A_SITE = 8
"""Site, system, service agreement, visit and four tasks done; besides, few findings."""
WIDE_DEG, HIGH_DEG = 0.9, 0.7
WEST_DEG, SOUTH_DEG, ACROSS = -149.0, 22.0, 5
KINDS = (SystemKind.GRAVITY, SystemKind.PRESSURE, SystemKind.MOUND, SystemKind.SAND_FILTER)
STATUSES = ("operating", "expired", "")
TOWNS = 24
"""Towns in a county."""
FINDING_EVERY = 40
"""One site in so many has a serious finding open."""
MOST_DAYS_AGO = 450
"""Last visits lie so far back at most: about a fifth of the yearly tasks is overdue then."""


def corner_of(county: int) -> LonLat:
    """Return the south-west corner of an invented county."""
    return LonLat(WEST_DEG + county % ACROSS * 1.2, SOUTH_DEG + county // ACROSS * 1.0)


def middle_of(county: int) -> LonLat:
    """Return the middle of an invented county."""
    west, south = corner_of(county)
    return LonLat(west + WIDE_DEG / 2, south + HIGH_DEG / 2)


def add_county(
    session: Session, county: int, sites: int, on_date: date, chance: np.random.Generator
) -> list[int]:
    """Add a firm, a jurisdiction and their sites, each with a system and one visit; return ids."""
    number = county + 1
    session.add(FirmRow(id=number, name=f"Invented firm {number}"))
    session.add(JurisdictionRow(id=number, name=f"Invented county {number}", rule_set="WA"))
    session.flush()
    west, south = corner_of(county)
    ids = list(reserve_ids(session, SiteRow, sites))
    system_ids = list(reserve_ids(session, SystemRow, sites))
    insert_columns(
        session,
        SiteRow,
        {
            "id": ids,
            "key": [f"B-{one}" for one in ids],
            "lon": (west + chance.random(sites) * WIDE_DEG).tolist(),
            "lat": (south + chance.random(sites) * HIGH_DEG).tolist(),
            "town": [f"Invented town {one}" for one in chance.integers(1, TOWNS + 1, sites)],
        },
        {"firm_id": number, "jurisdiction_id": number},
    )
    kinds = [KINDS[at].value for at in chance.integers(0, len(KINDS), sites)]
    statuses = [STATUSES[at] for at in chance.integers(0, len(STATUSES), sites)]
    insert_columns(
        session,
        SystemRow,
        {"id": system_ids, "site_id": ids, "kind": kinds, "permit_status": statuses},
        {"installed_on": date(2019, 5, 1)},
    )
    insert_columns(
        session,
        AgreementRow,
        {
            "site_id": ids,
            "ends_on": [on_date + timedelta(days=int(n)) for n in chance.integers(-90, 365, sites)],
        },
        {"firm_id": number, "starts_on": on_date - timedelta(days=365)},
    )
    days = [on_date - timedelta(days=int(n)) for n in chance.integers(0, MOST_DAYS_AGO, sites)]
    visits = [f"bench-{one}" for one in ids]
    insert_columns(
        session,
        VisitRow,
        {"id": visits, "site_id": ids, "on_date": days},
        {"recorded_at": datetime(2026, 1, 1, tzinfo=UTC)},
    )
    for task in ("inspection", "pump test", "purge", "bed check"):
        insert_columns(
            session, VisitTaskRow, {"visit_id": visits, "system_id": system_ids}, {"task": task}
        )
    found = slice(None, None, FINDING_EVERY)
    insert_columns(
        session,
        FindingRow,
        {
            "id": [f"finding-{one}" for one in ids[found]],
            "visit_id": visits[found],
            "site_id": ids[found],
            "system_id": system_ids[found],
        },
        {"kind": "surfacing", "seriousness": SERIOUS},
    )
    return ids


def add_flood_areas(
    session: Session, counties: int, areas: int, vertices: int, chance: np.random.Generator
) -> None:
    """Add flood hazard areas with rugged outlines, spread over the counties."""
    turns = np.linspace(0, 2 * np.pi, vertices, endpoint=False)
    rows = []
    for number in range(areas):
        west, south = corner_of(number % counties)
        centre = (west + chance.random() * WIDE_DEG, south + chance.random() * HIGH_DEG)
        reach = 0.004 + 0.004 * chance.random() + 0.001 * chance.random(vertices)
        outline = np.column_stack(
            (centre[0] + reach * np.cos(turns), centre[1] + reach * np.sin(turns))
        )
        rows.append(
            FloodAreaRow(
                source_key=f"bench-{number}",
                zone="AE",
                sfha=True,
                static_bfe_ft=100.0,
                datum="NAVD88",
                geom=shapely.Polygon(outline),
            )
        )
    session.add_all(rows)
    session.flush()
