"""The design card of the repository: what may stand at its top, and what no file may name."""

import re
import subprocess
from pathlib import Path

from tests.docs.tables import ROOT

FILES = {"README.md", "DEVELOPERS.md", "pyproject.toml"}
FOLDERS = {"registry", "web", "migrations", "tests", "demo_sites", "docs"}
MACHINE = re.compile(r"(?<![\w.:/])/(?:tmp|root|home|work|Users|opt|mnt)/\w")
"""Absolute paths that are true on one machine only."""
REGISTRY_HOSTS = re.compile(
    r"\b(?:py[p]i|pythonh[o]sted|npm[j]s|crat[e]s|d[e]bian|ub[u]ntu)\.(?:org|com|io)\b"
)
"""Hosts of package registries; which one an installer asks is its user's business."""
UNFINISHED = re.compile(r"\b(?:TO[D]O|FIX[M]E|XX[X]|raise NotImpl[e]mentedError)\b")


def ours() -> list[Path]:
    """Every file that is, or would be, in the repository."""
    listed = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )
    named = [ROOT / name for name in sorted(set(listed.stdout.split("\0"))) if name]
    return [file for file in named if file.is_file()]


def found(pattern: re.Pattern[str]) -> list[str]:
    hits = []
    for file in ours():
        try:
            text = file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # an image, a geopackage, an extract
        hits += [
            f"{file.relative_to(ROOT)}:{number}: {line.strip()[:100]}"
            for number, line in enumerate(text.splitlines(), start=1)
            if pattern.search(line)
        ]
    return hits


def test_the_top_of_the_repository_holds_what_the_design_card_says():
    tops = {file.relative_to(ROOT).parts[0] for file in ours()}
    shown = {name for name in tops if not name.startswith(".")}
    assert shown <= FILES | FOLDERS
    assert shown >= FILES | FOLDERS


def test_no_file_names_a_path_of_one_machine():
    assert found(MACHINE) == []


def test_no_file_names_the_host_of_a_package_registry():
    assert found(REGISTRY_HOSTS) == []


def test_nothing_is_marked_as_unfinished():
    assert found(UNFINISHED) == []


def test_the_patterns_find_what_they_are_for():
    assert MACHINE.search("see " + "/".join(("", "tmp", "notes.txt")))
    assert MACHINE.search("'" + "/".join(("", "home", "someone")) + "'")
    assert not MACHINE.search("https://county.invalid/home/page")
    assert REGISTRY_HOSTS.search("https://" + ".".join(("py" + "pi", "org")) + "/simple")
    assert UNFINISHED.search("# TO" + "DO: later")


def test_every_path_in_the_developers_guide_exists():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    named = re.findall(r"`((?:registry|web|tests|docs|migrations|demo_sites)/[\w./-]*)`", guide)
    assert [path for path in named if not (ROOT / path).exists()] == []


def test_the_map_in_the_developers_guide_has_every_folder_of_the_program():
    guide = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    folders = {
        "/".join(file.relative_to(ROOT).parts[:2]) + "/"
        for file in ours()
        if file.relative_to(ROOT).parts[0] in {"registry", "web", "tests"}
        and len(file.relative_to(ROOT).parts) > 2
    }
    assert [folder for folder in sorted(folders) if f"`{folder}`" not in guide] == []
