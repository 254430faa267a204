"""The invented county in a folder, made once for a run, for the commands of the pages."""

import os
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from tests.docs.pages import Block
from tests.docs.tables import ROOT
from tests.once import once

BIN = Path(sys.executable).parent
PATIENCE_S = 300

type RunBlock = Callable[[Block], subprocess.CompletedProcess[str]]


def environment(folder: Path) -> dict[str, str]:
    """Return the environment of a user whose store lies in a folder."""
    return {
        "PATH": os.pathsep.join([str(BIN), os.environ["PATH"]]),
        "HOME": str(folder),
        "LANG": "C.UTF-8",
        "RISERWAY_STORE": "sqlite:///county.sqlite",
    }


def run(command: list[str], folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a command in a folder as a user would."""
    return subprocess.run(
        command,
        cwd=folder,
        env=environment(folder),
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        timeout=PATIENCE_S,
        check=False,
    )


@pytest.fixture(scope="session")
def demo_county(run_folder: Path) -> Path:
    """The folder that ``riserway demo`` makes, to be copied."""

    def make(folder: Path) -> None:
        demo = [str(BIN / "riserway"), "demo", "--folder", str(folder), "--no-serve"]
        done = run([*demo, "--seconds", "1", "--json"], run_folder)
        assert done.returncode == 0, done.stderr

    return once(run_folder, "docs-county", make)


@pytest.fixture
def run_block(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[RunBlock]:
    """Run a block of a page in the folder that its comment names; one such folder a test."""
    folders: dict[str, Path] = {}

    def made(where: str) -> Path:
        folder = tmp_path / where.replace(" ", "-")
        if where == "the demo county":
            shutil.copytree(request.getfixturevalue("demo_county"), folder)
        else:
            folder.mkdir()
        for file in (ROOT / "demo_sites/files").iterdir():
            shutil.copy(file, folder)
        return folder

    def run_one(block: Block) -> subprocess.CompletedProcess[str]:
        if block.where not in folders:
            folders[block.where] = made(block.where)
        return run(["bash", "-euo", "pipefail", "-c", block.text], folders[block.where])

    yield run_one
    for folder in folders.values():
        shutil.rmtree(folder, ignore_errors=True)
