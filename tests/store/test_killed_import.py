"""An import that is killed leaves all of a file or nothing of it, and can be done again."""

import csv
import json
import os
import signal
import subprocess
from pathlib import Path
from typing import Any

import pytest

from tests.server import COMMAND

ROWS = 30_000
KILLS_AFTER_S = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0)


def environment(store_url: str) -> dict[str, str]:
    return {**os.environ, "RISERWAY_STORE": store_url}


def sites_file(folder: Path) -> Path:
    """Write an invented county on a grid."""
    path = folder / "sites.csv"
    with path.open("w", newline="", encoding="utf-8") as out:
        writer = csv.writer(out)
        writer.writerow(["key", "lon", "lat", "kind"])
        for number in range(ROWS):
            east, north = number % 200, number // 200
            writer.writerow([f"S-{number}", -140 + east / 1000, 45 + north / 1000, "mound"])
    return path


def check(store_url: str) -> dict[str, Any]:
    said = subprocess.run(
        [COMMAND, "store", "check", "--json"],
        env=environment(store_url),
        capture_output=True,
        check=True,
    )
    found: dict[str, Any] = json.loads(said.stdout)
    return found


def start(store_url: str, file: Path) -> "subprocess.Popen[str]":
    return subprocess.Popen(
        [COMMAND, "import", "sites", file, "--json"],
        cwd=file.parent,
        env=environment(store_url),
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        text=True,
    )


@pytest.mark.long
def test_a_killed_import_leaves_all_or_nothing(store_url: str, tmp_path: Path):
    file = sites_file(tmp_path)
    killed = 0
    for patience_s in KILLS_AFTER_S:
        with start(store_url, file) as run:
            try:
                run.wait(patience_s)
            except subprocess.TimeoutExpired:
                run.send_signal(signal.SIGKILL)
                run.wait()
                killed += 1
        found = check(store_url)
        assert found["problems"] == []
        assert found["sites"] in {0, ROWS}
    assert killed > 0, "Every import was quicker than the first kill: give it more rows."

    with start(store_url, file) as run:
        out, _ = run.communicate()
    assert run.returncode == 0
    counts = json.loads(out)
    assert counts["added"] + counts["unchanged"] == ROWS
    assert check(store_url)["sites"] == ROWS
