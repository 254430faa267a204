"""An invented river valley for benchmarks: a gauge, levels, systems with elevations."""

from datetime import date

import numpy as np
import shapely
from sqlalchemy import select, update
from sqlalchemy.orm import Session

from registry.records.elevation import NAVD88
from registry.records.systems import ComponentKind
from registry.store.bench_rows import WIDE_DEG, add_county, corner_of, middle_of
from registry.store.bulk import insert_columns
from registry.store.tables import (
    ComponentRow,
    GaugeRow,
    RiverLevelRow,
    RiverLineRow,
    SiteRow,
    SystemRow,
)

PARTS = (
    ComponentKind.CONTROL_PANEL,
    ComponentKind.DISCONNECT,
    ComponentKind.LID,
    ComponentKind.VENT,
    ComponentKind.PUMP_TANK,
    ComponentKind.SEPTIC_TANK,
)
STAGES_FT = range(0, 31, 3)
LENGTH_MI, STEPS, BENDS = 60.0, 60, 400
NARROW = 0.1
"""So much of a county's height is left as the valley's."""


def add_valley(session: Session, sites: int, on_date: date, chance: np.random.Generator) -> int:
    """Add a valley with so many systems, six measured parts each; return how many parts."""
    add_county(session, 0, sites, on_date, chance)
    west, _ = corner_of(0)
    middle = middle_of(0).lat
    session.execute(update(SiteRow).values(lat=middle + (SiteRow.lat - middle) * NARROW))
    session.add(GaugeRow(id=1, name="Invented gauge", river="Invented", station_mi=LENGTH_MI / 2))
    session.flush()
    lon = west + np.linspace(0, WIDE_DEG, BENDS)
    lat = middle + 0.01 * np.sin(np.linspace(0, 40, BENDS))
    line = shapely.LineString(np.column_stack([lon, lat]))
    session.add(
        RiverLineRow(source_key="bench", gauge_id=1, first_mi=0.0, last_mi=LENGTH_MI, geom=line)
    )
    stations = np.linspace(0, LENGTH_MI, STEPS)
    stage, station = np.meshgrid(np.array(STAGES_FT, float), stations, indexing="ij")
    insert_columns(
        session,
        RiverLevelRow,
        {
            "stage_ft": stage.ravel().tolist(),
            "station_mi": station.ravel().tolist(),
            "surface_ft": (100 + stage + 2 * station).ravel().tolist(),
        },
        {"gauge_id": 1, "datum": NAVD88},
    )
    asked = select(SystemRow.id, SiteRow.lon).join(SiteRow, SiteRow.id == SystemRow.site_id)
    system_ids, at_lon = zip(*session.execute(asked).all(), strict=True)
    water_ft = 100 + 2 * LENGTH_MI * (np.array(at_lon, float) - west) / WIDE_DEG
    for kind in PARTS:
        above_ft = chance.uniform(2, 32, len(system_ids))
        insert_columns(
            session,
            ComponentRow,
            {
                "system_id": list(system_ids),
                "elevation_ft": np.round(water_ft + above_ft, 2).tolist(),
            },
            {"kind": kind.value, "elevation_datum": NAVD88},
        )
    return len(PARTS) * len(system_ids)
