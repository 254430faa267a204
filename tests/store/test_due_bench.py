import json

import pytest
from click.testing import CliRunner

from registry.cli.bench_store import command
from registry.errors import StoreError
from registry.store import open_store
from registry.store.migrate import revision

KEYS = {
    "dialect",
    "sites",
    "import_s",
    "due_ms",
    "count_ms",
    "page_ms",
    "nearest_ms",
    "tile_ms",
    "flood_join_s",
}


def test_the_benchmark_fills_asks_and_leaves_nothing(bare_store_url):
    done = CliRunner().invoke(command, ["--sites", "300", "--store", bare_store_url, "--json"])
    assert done.exit_code == 0, done.exception
    answer = json.loads(done.stdout)
    assert answer.keys() >= KEYS
    assert answer["tile_ms"].keys() == {"z8", "z11", "z14"}
    assert answer["sites"] == 300
    assert answer["overdue"] > 0
    store = open_store(bare_store_url)
    assert revision(store) == ""
    store.close()


def test_a_store_that_holds_anything_is_never_filled(store_url):
    done = CliRunner().invoke(command, ["--sites", "300", "--store", store_url])
    with pytest.raises(StoreError, match="not empty"):
        raise done.exception


def test_a_database_without_postgis_is_told_so_in_a_sentence(postgis_cluster):
    postgis_cluster.run("CREATE DATABASE without_postgis TEMPLATE template0")
    try:
        told = ["--sites", "300", "--store", postgis_cluster.url("without_postgis")]
        done = CliRunner().invoke(command, told)
        with pytest.raises(StoreError, match="CREATE EXTENSION postgis"):
            raise done.exception
    finally:
        postgis_cluster.drop("without_postgis")
