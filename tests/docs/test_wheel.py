"""The wheel holds everything: installed in an empty environment, used in an empty folder."""

import json
import os
import re
import subprocess
import sys
import zipfile
from importlib.metadata import requires
from pathlib import Path

import pytest

from tests.docs.tables import ROOT
from tests.once import once

MOST_MB = 5
"""The invented county's files may take so much; the wheel holds them all."""


@pytest.fixture(scope="session")
def wheel(run_folder: Path) -> Path:
    """The wheel, built once for a run in a folder of its own."""

    def make(folder: Path) -> None:
        command = [sys.executable, "-m", "build", "--wheel", "-o", str(folder)]
        done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stdout + done.stderr

    (built,) = once(run_folder, "wheel", make).glob("*.whl")
    return built


def tracked(*folders: str) -> set[str]:
    """Return the files of some folders as the repository has them."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard", *folders],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    return {name for name in listed.stdout.split("\0") if name and (ROOT / name).is_file()}


def inside(name: str) -> str:
    """Return where the wheel holds a file of the repository."""
    if name.startswith("migrations/"):
        return f"registry/_inside/{name}"
    return name.replace("demo_sites/files/", "registry/_inside/demo_sites/")


@pytest.mark.long
def test_the_wheel_holds_every_file_of_the_program_and_no_test(wheel: Path) -> None:
    with zipfile.ZipFile(wheel) as opened:
        held = {one for one in opened.namelist() if ".dist-info/" not in one}
        notices = {Path(one).name for one in opened.namelist() if "/licenses/" in one}
    wanted = tracked("registry", "web", "migrations", "demo_sites/files")
    assert held == {inside(name) for name in wanted}
    assert {"LICENSE.txt", "THIRD-PARTY.md"} <= notices
    assert wheel.stat().st_size < MOST_MB * 2**20


@pytest.fixture(scope="session")
def installed(run_folder: Path, wheel: Path) -> Path:
    """The programs of an environment that holds the wheel and what it asks for, nothing else."""

    def make(folder: Path) -> None:
        subprocess.run([sys.executable, "-m", "venv", str(folder)], check=True)
        pip = [str(folder / "bin" / "pip"), "install", "-q", "--disable-pip-version-check"]
        done = subprocess.run([*pip, str(wheel)], capture_output=True, text=True, check=False)
        assert done.returncode == 0, done.stderr

    return once(run_folder, "wheel-environment", make) / "bin"


def run(program: Path, *words: str, folder: Path) -> subprocess.CompletedProcess[str]:
    environment = {"PATH": os.environ["PATH"], "HOME": str(folder), "LANG": "C.UTF-8"}
    return subprocess.run(
        [str(program), *words],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


@pytest.mark.long
def test_the_demonstration_runs_from_the_wheel_in_an_empty_folder(
    installed: Path, tmp_path: Path
) -> None:
    first = run(
        installed / "riserway", "demo", "--no-serve", "--json", "--seconds", "2", folder=tmp_path
    )
    assert first.returncode == 0, first.stderr
    day = json.loads(first.stdout)
    assert sum(len(route["visits"]) for route in day["routes"]) > 0
    again = run(installed / "riserway", "demo", "--no-serve", "--json", folder=tmp_path)
    assert json.loads(again.stdout) == day  # the second start orders nothing anew


@pytest.mark.long
def test_the_pages_answer_from_the_wheel(installed: Path, tmp_path: Path) -> None:
    made = run(
        installed / "riserway", "store", "create", "--store", "sqlite:///a.sqlite", folder=tmp_path
    )
    assert made.returncode == 0, made.stderr
    asked = """
from pathlib import Path
from registry.wiring import assemble
from web.app import create_app
client = create_app(assemble("sqlite:///a.sqlite"), secret="x" * 32).test_client()
for address in ("/sign-in", "/static/riserway.css"):
    print(client.get(address, follow_redirects=True).status_code)
"""
    done = run(installed / "python", "-c", asked, folder=tmp_path)
    assert done.stdout.split() == ["200", "200"], done.stderr


@pytest.mark.long
def test_the_environment_holds_no_library_of_the_tests(installed: Path) -> None:
    asked = "from importlib.metadata import distributions as d; print(*(one.name for one in d()))"
    done = run(installed / "python", "-c", asked, folder=installed)
    named = {re.sub(r"[-_.]+", "-", name).lower() for name in done.stdout.split()}
    extra = {
        re.split(r"[\[<>=;~! ]", one)[0].lower()
        for one in requires("riserway") or []
        if re.search(r"extra == .test.", one)
    }
    assert named >= {"riserway", "flask", "pyogrio"}
    assert extra
    assert named & extra == set()
