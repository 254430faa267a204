"""A scratch store of invented sites, and how long the questions behind the pages take on it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime
from statistics import median
from time import perf_counter
from typing import Any

import numpy as np

from registry.flood.areas import Outlines
from registry.records.due_rows import TileRows
from registry.services.flag_sites import flag_sites
from registry.services.recompute_due import COMPUTED_ON, recompute_due
from registry.services.scratch_store import scratch
from registry.store import Session, Store, users
from registry.store.bench_rows import (
    ROWS_A_SITE,
    SITES_A_COUNTY,
    add_county,
    add_flood_areas,
    middle_of,
)
from registry.store.cells import tile_at
from registry.store.due_tiles import tile_made
from registry.store.flood_facts import areas_of_sites, flood_areas, flood_sites
from registry.store.obligations import count_overdue, due_page
from registry.store.overdue import count_overdue_systems, nearest, overdue_page
from registry.store.scope import Scope
from registry.store.tidy import tidy

ON = date(2026, 6, 15)
FLOOD_AREAS, VERTICES = 5_000, 300
ZOOMS = (8, 11, 14)
RUNS = 15

type Say = Callable[[str], None]
type Encode = Callable[[TileRows, tuple[int, int, int]], bytes]


@dataclass(frozen=True, slots=True)
class Timed:
    """The middle of some runs, in milliseconds, and the last answer."""

    ms: float
    answer: Any


def bench_store(
    store: Store, sites: int, *, encode: Encode, say: Say, keep: bool = False, seed: int = 1
) -> dict[str, Any]:
    """Fill an empty store with invented sites, time the questions, clear it again.

    Parameters
    ----------
    store
        An empty place: it is migrated, filled, and taken down to nothing at the end.
    sites
        How many, in counties of 50,000.
    encode
        Makes a vector tile of rows, as the pages do where PostGIS does not.
    say
        Told how it goes.
    keep
        Leave what was made.
    seed
        Of the invented places and dates.

    Raises
    ------
    StoreError
        If there is anything in the store.
    """
    with scratch(store, keep=keep):
        filled = _fill(store, sites, say, np.random.default_rng(seed))
        return {"dialect": store.dialect, "sites": sites} | filled | _asked(store, encode)


def _fill(store: Store, sites: int, say: Say, chance: np.random.Generator) -> dict[str, float]:
    counties = max(1, -(-sites // SITES_A_COUNTY))
    spent = {"import_s": 0.0, "compute_s": 0.0}
    for county in range(counties):
        count = min(SITES_A_COUNTY, sites - county * SITES_A_COUNTY)
        say(f"county {county + 1} of {counties}: {count:,} sites")
        began = perf_counter()
        with store.session() as session:
            ids = add_county(session, county, count, ON, chance)
        imported = perf_counter()
        with store.session() as session:
            recompute_due(session, ON, ids)
        spent["import_s"] += imported - began
        spent["compute_s"] += perf_counter() - imported
    with store.session() as session:
        add_flood_areas(session, counties, min(FLOOD_AREAS, sites // 10), VERTICES, chance)
        users.set_setting(session, COMPUTED_ON, ON.isoformat())
    tidy(store)
    with store.session() as session:
        outlines = Outlines(flood_areas(session))
        began = perf_counter()
        for part in flood_sites(session):
            areas_of_sites(session, part, outlines)
        joined = perf_counter()
        flag_sites(session, datetime(2026, 6, 15, tzinfo=UTC))
        spent |= {"flood_join_s": joined - began, "flag_s": perf_counter() - joined}
    tidy(store)
    return {name: round(seconds, 2) for name, seconds in spent.items()} | {
        "import_rows_s": round(ROWS_A_SITE * sites / max(spent["import_s"], 1e-9))
    }


def _asked(store: Store, encode: Encode) -> dict[str, Any]:
    county = Scope(None, (1,))
    with store.reading() as session:
        page = _timed(lambda: due_page(session, county, ON, 0))
        second = (page.answer[-1].due_on, page.answer[-1].obligation_id)
        count = _timed(lambda: count_overdue(session, county, ON))
        systems = _timed(lambda: count_overdue_systems(session, county, ON))
        tiles = {f"z{zoom}": _tile(session, zoom, encode) for zoom in ZOOMS}
        return {
            "due_ms": round(page.ms + count.ms, 2),
            "page_ms": page.ms,
            "count_ms": count.ms,
            "overdue": count.answer,
            "next_page_ms": _timed(lambda: due_page(session, county, ON, 0, second)).ms,
            "overdue_count_ms": systems.ms,
            "overdue_page_ms": _timed(lambda: overdue_page(session, county, ON)).ms,
            "export_ms": _timed(lambda: due_page(session, county, ON, 0, limit=10_000), 3).ms,
            "nearest_ms": _timed(lambda: nearest(session, county, middle_of(0), ON)).ms,
            "tile_ms": {name: one[0] for name, one in tiles.items()},
            "tile_bytes": {name: one[1] for name, one in tiles.items()},
        }


def _tile(session: Session, zoom: int, encode: Encode) -> tuple[float, int]:
    """Return the time and size of the tile in the middle of a county, whoever's its systems are."""
    tile = tile_at(middle_of(0), zoom)

    def made() -> bytes:
        ready = tile_made(session, Scope(), tile, ON)
        return ready if isinstance(ready, bytes) else encode(ready, tile)

    timed = _timed(made)
    return timed.ms, len(timed.answer)


def _timed(ask: Callable[[], Any], runs: int = RUNS) -> Timed:
    took, answer = [], None
    for _ in range(runs + 1):
        began = perf_counter()
        answer = ask()
        took.append((perf_counter() - began) * 1000)
    return Timed(round(median(took[1:]), 2), answer)
