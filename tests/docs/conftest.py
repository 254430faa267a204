"""The invented county in a folder, made once for a run, for the commands of the pages."""

import os
import re
import shlex
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import chdir, redirect_stderr, redirect_stdout
from io import StringIO
from pathlib import Path

import pytest

from tests.docs.pages import Block
from tests.docs.tables import ROOT
from tests.once import once

BIN = Path(sys.executable).parent
PATIENCE_S = 300
PLAIN = re.compile(r"riserway [^|<>$;&`]*")
"""A command that needs no shell to understand it."""

type Done = subprocess.CompletedProcess[str]
type RunBlock = Callable[[Block], Done]


def environment(folder: Path) -> dict[str, str]:
    """Return the environment of a user whose store lies in a folder."""
    return {
        "PATH": os.pathsep.join([str(BIN), os.environ["PATH"]]),
        "HOME": str(folder),
        "LANG": "C.UTF-8",
        **store_in(folder),
    }


def store_in(folder: Path) -> dict[str, str]:
    """Return the words that lead the program to a folder's store and keep it there."""
    return {
        "RISERWAY_STORE": "sqlite:///county.sqlite",
        "XDG_DATA_HOME": str(folder / ".local/share"),
    }


def run(command: list[str], folder: Path) -> Done:
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


def run_here(commands: list[list[str]], folder: Path) -> Done:
    """Run commands of the program in this process, up to the first that fails.

    They do what they do in a process of their own, without a second to start each.
    """
    from registry.cli.endings import run_with_clear_endings
    from registry.cli.main import cli

    code, out, err = 0, StringIO(), StringIO()
    with pytest.MonkeyPatch.context() as patch, chdir(folder):
        for name, value in store_in(folder).items():
            patch.setenv(name, value)
        with redirect_stdout(out), redirect_stderr(err):
            for words in commands:
                code = run_with_clear_endings(cli, words[1:])
                if code:
                    break
    said = out.getvalue(), err.getvalue()
    return subprocess.CompletedProcess([shlex.join(words) for words in commands], code, *said)


def plain_commands(text: str) -> list[list[str]] | None:
    """Return the words of a block's commands; None where a shell is needed to understand them."""
    lines = [line for line in text.replace("\\\n", " ").splitlines() if line.strip()]
    if not all(PLAIN.fullmatch(line.partition(" #")[0]) for line in lines):
        return None
    return [shlex.split(line, comments=True) for line in lines]


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

    def run_one(block: Block) -> Done:
        if block.where not in folders:
            folders[block.where] = made(block.where)
        plain = plain_commands(block.text)
        if plain is not None:
            return run_here(plain, folders[block.where])
        return run(["bash", "-euo", "pipefail", "-c", block.text], folders[block.where])

    yield run_one
    for folder in folders.values():
        shutil.rmtree(folder, ignore_errors=True)
