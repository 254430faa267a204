"""The tests' own PostgreSQL: there for the run, gone after it."""

import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cluster import Cluster, new_run_folder, wait_for_the_end_of

ROOT = Path(__file__).parents[2]
CRASH_PATIENCE_S = 60


def test_the_private_cluster_has_postgis(postgis_cluster: Cluster):
    postgis_cluster.run("SELECT postgis_version()", "bare")


def test_two_databases_of_one_template_know_nothing_of_each_other(postgis_cluster: Cluster):
    import psycopg

    names = [postgis_cluster.new_database("bare") for _ in range(2)]
    postgis_cluster.run("CREATE TABLE lid (id int)", names[0])
    with pytest.raises(psycopg.errors.UndefinedTable):
        postgis_cluster.run("SELECT id FROM lid", names[1])
    for name in names:
        postgis_cluster.drop(name)


@pytest.mark.postgis
@pytest.mark.usefixtures("postgis_cluster")  # no PostgreSQL: skipped with that fixture's sentence
def test_the_cluster_ends_with_a_run_that_was_killed():
    folder = new_run_folder()
    script = (
        "import os, pathlib, time; from tests.cluster import cluster_of_run;"
        f"cluster_of_run(pathlib.Path({str(folder)!r}), os.getpid()); print('up', flush=True);"
        "time.sleep(600)"
    )
    run = subprocess.Popen([sys.executable, "-c", script], cwd=ROOT, stdout=subprocess.PIPE)
    assert run.stdout is not None
    assert run.stdout.readline() == b"up\n"
    server = int((folder / "pg" / "d" / "postmaster.pid").read_text().split()[0])
    os.kill(run.pid, signal.SIGKILL)
    run.wait()
    run.stdout.close()
    assert wait_for_the_end_of(server, CRASH_PATIENCE_S)
    _wait_until_gone(folder)


def test_the_folder_of_a_killed_run_is_removed_by_the_next():
    script = "from tests.cluster import new_run_folder; print(new_run_folder())"
    left = subprocess.run(
        [sys.executable, "-c", script], cwd=ROOT, capture_output=True, text=True, check=True
    )
    mine, other = new_run_folder(), new_run_folder()
    assert not Path(left.stdout.strip()).exists()
    assert mine.exists()
    for folder in (mine, other):
        shutil.rmtree(folder)


def _wait_until_gone(folder: Path) -> None:
    give_up = time.monotonic() + CRASH_PATIENCE_S
    while folder.exists():
        assert time.monotonic() < give_up, f"{folder} is still there"
        time.sleep(0.1)
