"""A million invented sites come into PostGIS, and a second time without a change."""

import sys
import time
from pathlib import Path

import pytest

from registry.store import open_store
from registry.store.soundness import site_count
from tests.store.importing import bring, counts

SITES = 1_000_000
KINDS = ("gravity", "mound", "pressure distribution", "at-grade", "sand filter")


def write_sites(path: Path, count: int) -> None:
    """Write a file of invented sites, scattered over a few degrees."""
    import numpy as np

    places = np.random.default_rng(7).random((count, 2)) * (4.0, 3.0) + (-141.0, 44.0)
    with path.open("w", encoding="utf-8") as file:
        file.write(
            "key,lon,lat,address,town,parcel,kind,permit_no,design_flow_gpd,bedrooms,people,"
            "installed_on\n"
        )
        for n, (lon, lat) in enumerate(places.tolist()):
            file.write(
                f"S-{n:07},{lon:.6f},{lat:.6f},{n % 9999} Invented Lane,Town {n % 40},{n // 7:08},"
                f"{KINDS[n % 5]},P-{n},{300 + n % 300},{1 + n % 6},{1 + n % 7},"
                f"{1980 + n % 40}-{1 + n % 12:02}-{1 + n % 28:02}\n"
            )


@pytest.mark.long
def test_a_million_sites_come_in_whole(postgis_url: str, tmp_path: Path) -> None:
    """Its pace is printed, not tested: pytest -rP shows it."""
    path = tmp_path / "million.csv"
    write_sites(path, SITES)
    store = open_store(postgis_url)
    started = time.monotonic()
    first = bring(store, path)
    added_s = time.monotonic() - started
    assert counts(first) == (SITES, SITES, 0, 0, 0)
    with store.reading() as session:
        assert site_count(session) == SITES
    started = time.monotonic()
    assert counts(bring(store, path)) == (SITES, 0, 0, SITES, 0)
    unchanged_s = time.monotonic() - started
    store.close()
    sys.stdout.write(
        f"{SITES / added_s:,.0f} rows/s added, {SITES / unchanged_s:,.0f} rows/s unchanged\n"
    )
