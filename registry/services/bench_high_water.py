"""How long a stage takes on a valley of many invented systems."""

from datetime import UTC, date, datetime
from statistics import median
from time import perf_counter, process_time
from typing import Any

import numpy as np

from registry.records.changes import Role, Viewer
from registry.services.high_water import high_water, sites_on_map, work_out_stages
from registry.services.scratch_store import scratch
from registry.store import Store
from registry.store.bench_river import STAGES_FT, add_valley
from registry.store.tidy import tidy

NOW = datetime(2026, 6, 15, 12, tzinfo=UTC)
OFFICE = Viewer(name="bench", role=Role.ADMINISTRATOR)


def bench_high_water(store: Store, systems: int, seed: int = 1) -> dict[str, Any]:
    """Fill an empty store with a valley, time what the High water page asks, clear it again.

    Parameters
    ----------
    store
        An empty place: it is migrated, filled, and taken down to nothing at the end.
    systems
        How many beside the river, with six measured parts each.
    seed
        Of the invented places and heights.

    Raises
    ------
    StoreError
        If there is anything in the store.
    """
    with scratch(store):
        with store.session() as session:
            chance = np.random.default_rng(seed)
            n_parts = add_valley(session, systems, date(2026, 6, 15), chance)
        tidy(store)
        began = perf_counter()
        with store.session() as session:
            known = work_out_stages(session)
        work_out_s = perf_counter() - began
        tidy(store)
        stages = [_stage_ms(store, float(stage)) for stage in STAGES_FT]
        stage_ms, cpu_ms = zip(*stages, strict=True)
        began = perf_counter()
        with store.reading() as session:
            sites, _ = sites_on_map(session, OFFICE, "")
        return {
            "dialect": store.dialect,
            "systems": systems,
            "parts": n_parts,
            "parts_known": known,
            "work_out_s": round(work_out_s, 2),
            "stage_ms": round(median(stage_ms), 1),
            "stage_worst_ms": round(max(stage_ms), 1),
            "stage_cpu_ms": round(max(cpu_ms), 1),
            "map_ms": round(1000 * (perf_counter() - began), 1),
            "map_sites": len(sites),
        }


def _stage_ms(store: Store, stage_ft: float) -> tuple[float, float]:
    """Return how long one stage took, and how much of it on this process's processor."""
    began, began_cpu = perf_counter(), process_time()
    with store.reading() as session:
        high_water(session, OFFICE, "", stage_ft, NOW)
    return 1000 * (perf_counter() - began), 1000 * (process_time() - began_cpu)
