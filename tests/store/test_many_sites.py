"""The stores at the sizes they are for: the questions behind the pages are answered there too.

How long the answers take is printed for a person to read, and not asserted.
"""

import json
import subprocess
from typing import Any

import pytest

from tests.server import COMMAND

MOST_TILE_BYTES = 500_000


def benched(store_url: str, sites: int) -> dict[str, Any]:
    done = subprocess.run(
        [COMMAND, "bench", "store", "--sites", str(sites), "--store", store_url, "--json"],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, done.stderr
    print(done.stdout)  # noqa: T201 - the long suite shows what passed tests print
    found: dict[str, Any] = json.loads(done.stdout)
    return found


def holds(found: dict[str, Any], dialect: str, sites: int) -> None:
    assert (found["dialect"], found["sites"]) == (dialect, sites)
    assert 0 < found["overdue"] < sites
    assert all(0 < size <= MOST_TILE_BYTES for size in found["tile_bytes"].values())


@pytest.mark.long
def test_a_million_sites_on_postgis_are_filled_flagged_and_asked(postgis_cluster):
    name = postgis_cluster.new_database("bare")
    try:
        holds(benched(postgis_cluster.url(name), 1_000_000), "postgresql", 1_000_000)
    finally:
        postgis_cluster.drop(name)


@pytest.mark.long
def test_fifty_thousand_sites_on_sqlite_are_filled_flagged_and_asked(tmp_path):
    holds(benched(f"sqlite:///{tmp_path / 'many.sqlite'}", 50_000), "sqlite", 50_000)
