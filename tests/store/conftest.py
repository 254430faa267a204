"""Stores to be harmed or worn, and the invented county as a store of either kind."""

from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from tests.killing import Places, opened
from tests.once import once

if TYPE_CHECKING:
    from tests.cluster import Cluster
    from tests.demo import Demo


@pytest.fixture
def places(store_kind: str, tmp_path: Path, request: pytest.FixtureRequest) -> Iterator[Places]:
    """Fresh stores of one kind."""
    if store_kind == "sqlite":
        given = Places(tmp_path, None, f"sqlite:///{request.getfixturevalue('migrated_sqlite')}")
    else:
        cluster = request.getfixturevalue("postgis_cluster")
        given = Places(tmp_path, cluster, cluster.url(request.getfixturevalue("migrated_postgis")))
    yield given
    given.close()


@pytest.fixture
def county(places: Places, store_kind: str, demo: "Demo", run_folder: Path) -> str:
    """The invented county as a closed store of this kind, not to be changed."""
    if places.cluster is None:
        return demo.store_url
    return places.cluster.url(
        once(run_folder, "county", lambda path: _county_on_postgis(places.cluster, demo, path)).name
    )


def _county_on_postgis(cluster: "Cluster | None", demo: "Demo", path: Path) -> None:
    from registry.services.copy_store import copy_in, copy_out
    from tests.store.rows import NOW

    assert cluster is not None
    cluster.run(f"DROP DATABASE IF EXISTS {path.name} WITH (FORCE)")
    cluster.run(f"CREATE DATABASE {path.name} TEMPLATE bare")
    copied = path.with_suffix(".zip")
    with opened(demo.store_url) as source, opened(cluster.url(path.name)) as store:
        copy_out(source, copied, NOW)
        copy_in(store, copied)
