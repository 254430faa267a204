"""Building an OSRM network with the tools of its own package, each in a process of its own."""

import re
import shutil
import subprocess
import sys
from collections.abc import Callable
from importlib.metadata import PackageNotFoundError, version
from importlib.util import find_spec
from pathlib import Path

from registry.errors import RoadError

NAME = "roads.osrm"
BUILT = "extracted"
"""Extracted and partitioned, never touched again: a closure starts from a fresh copy."""
OPEN = "open"
"""The copy that is customized and that the engine reads."""
PROFILE = "profile"
LARGEST_SMALL_PART = 1_000
"""OSRM's own default: fewer one-way stretches than this may be an island."""
TROUBLE = re.compile(r"\[error\]\s*(.+)|what\(\):\s*(.+)")


class OsrmRefusalError(RoadError):
    """OSRM is not there or refuses the file; the text is the reason, as half a sentence."""


def osrm_version() -> str:
    """Return the version of OSRM that is installed, empty where there is none."""
    try:
        return version("osrm-bindings") if find_spec("osrm") else ""
    except PackageNotFoundError:
        return ""


def build_osrm(
    source: Path, folder: Path, stretches: int, progress: Callable[[str, float], None]
) -> None:
    """Build an OSRM network of a file inside a folder.

    Parameters
    ----------
    source
        The OpenStreetMap file.
    folder
        Where the network goes; ``extracted`` and ``open`` are made in it.
    stretches
        How many stretches the joined network has; far smaller parts count as islands.
    progress
        Told what goes on, and the share that is done.

    Raises
    ------
    OsrmRefusalError
        If OSRM isn't there or refuses the file.
    """
    if not osrm_version():
        raise OsrmRefusalError("OSRM is not to be had on this machine")
    built, opened = folder / BUILT, folder / OPEN
    built.mkdir()
    profile = _profile(folder / PROFILE)
    small = max(2, min(LARGEST_SMALL_PART, stretches // 2))
    progress("OSRM: reading the roads", 0.3)
    _run("extract", "-p", profile, "-o", built / NAME, "--small-component-size", small, source)
    progress("OSRM: dividing the network", 0.5)
    _run("partition", built / NAME)
    shutil.copytree(built, opened)
    progress("OSRM: setting the speeds", 0.55)
    customize(opened / NAME)
    shutil.rmtree(profile.parent)


def customize(network: Path, rows: Path | None = None) -> None:
    """Set the speeds of a network that was extracted and divided, in place.

    Parameters
    ----------
    network
        The network's files, as ``…/roads.osrm``; no engine may have them open.
    rows
        A table of pieces with speeds of their own: from node, to node, km/h, where 0 closes one.

    Raises
    ------
    OsrmRefusalError
        If OSRM refuses.
    """
    _run("customize", *(["--segment-speed-file", rows] if rows else []), network)


def _profile(folder: Path) -> Path:
    """Lay our profile beside OSRM's own, which it extends, and return its path."""
    found = find_spec("osrm")
    if found is None or found.origin is None:
        raise OsrmRefusalError("OSRM is not to be had on this machine")
    theirs = Path(found.origin).parent / "share" / "profiles"
    if not (theirs / "car.lua").is_file():
        raise OsrmRefusalError("OSRM's package holds no car profile")
    shutil.copytree(theirs, folder)
    return Path(shutil.copy(Path(__file__).with_name("truck.lua"), folder))


def _tool(step: str) -> list[str]:
    """Return the words that call one of OSRM's tools: itself where it lies, else by its package.

    The package only looks for the tool, which takes longer than to close a road.
    """
    found = find_spec("osrm")
    if found is not None and found.origin is not None:
        here = Path(found.origin).parent / "bin" / f"osrm-{step}"
        if here.is_file():
            return [str(here)]
    return [sys.executable, "-m", "osrm", step]


def _run(step: str, *arguments: object) -> None:
    words = [*_tool(step), *map(str, arguments)]
    try:
        done = subprocess.run(  # noqa: S603 - OSRM's own tool, no shell
            words,
            stdin=subprocess.DEVNULL,
            capture_output=True,
            text=True,
            errors="replace",
            check=False,
        )
    except OSError as wrong:
        raise OsrmRefusalError(f"OSRM cannot be started ({wrong})") from wrong
    if done.returncode:
        raise OsrmRefusalError(f"OSRM's {step} refused the file: {_reason(done)}")


def _reason(done: "subprocess.CompletedProcess[str]") -> str:
    """Return the last trouble that a tool told, without its time stamp and its own paths."""
    told = [a or b for a, b in TROUBLE.findall(done.stdout + "\n" + done.stderr)]
    if not told:
        return f"it ended with code {done.returncode}"
    return re.sub(r"[./\w-]*\.(cpp|hpp):\d+|\(at [^)]*\)", "", told[-1]).strip(" .")
