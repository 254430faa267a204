"""Building a road network from an OpenStreetMap file, all of it or nothing."""

import hashlib
import json
import shutil
import tempfile
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime
from pathlib import Path

from registry.basemap.build import build_basemap
from registry.basemap.revisions import (
    ABOUT,
    current_folder,
    current_network,
    make_current,
    read_about,
    write_about,
)
from registry.errors import RegistryError, RoadError
from registry.records.places import Box
from registry.records.roads import NetworkInfo
from registry.roads.drivable import truck_rule
from registry.roads.graph import Graph, build_roads
from registry.roads.network_book import GRAPH
from registry.roads.osm_file import Ways, check_name, read_ways
from registry.roads.osrm_build import (
    BUILT,
    OPEN,
    PROFILE,
    OsrmRefusalError,
    build_osrm,
    osrm_version,
)

__all__ = ["build_network", "current_network"]

SIZES = "files.json"
SCRATCH = "building-"
A_DAY_S = 86_400
"""A network half built is left alone so long, in case another import is still at it."""
LAYOUT = "2"
"""Changes when the same file would be built otherwise, so that it is built anew."""
ODD_IDS = (
    "the file has negative or wrapped node ids, which OSRM does not take; "
    "turn restrictions are ignored"
)
NAME_LENGTH = 16

type Progress = Callable[[str, float], None]
"""Told what goes on, and the share of the whole that is done (0 to 1)."""


def build_network(
    source: Path,
    folder: Path,
    credit: str,
    now: datetime,
    progress: Progress,
    *,
    with_basemap: bool = True,
) -> NetworkInfo:
    """Build the road network and the base map of a file and make them the ones in use.

    Nothing in use is touched until all is built; a failure leaves the folder as it was. The same
    file with the same tools is not built twice. The revision used before is kept, for a plan that
    still reads it; older ones are deleted.

    Parameters
    ----------
    source
        OpenStreetMap file: .osm.pbf, .osm, .osm.gz, .osm.bz2.
    folder
        The folder of all road networks.
    credit
        Whose credit must stand on every map drawn from the file.
    now
        The moment that is written down as the time of building.
    progress
        Told what goes on.
    with_basemap
        Draw the base map too.

    Raises
    ------
    RoadError
        If the file cannot be read or holds no road, or the folder cannot be written.
    """
    check_name(source)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        digest = _digest(source)
        engine_version = osrm_version()
        revision = _revision(digest, engine_version, with_basemap)
        if is_whole(folder / revision):
            info = _kept(folder / revision, credit, source)
        else:
            with tempfile.TemporaryDirectory(prefix=SCRATCH, dir=folder) as scratch:
                built = Path(scratch) / revision
                built.mkdir()
                blank = _blank(source, revision, digest, credit, now, engine_version)
                info = _build(source, built, blank, progress, with_basemap=with_basemap)
                write_about(built, info)
                _write_sizes(built)
                _move(built, folder / revision)
        before = current_folder_or_none(folder)
        make_current(folder, revision)
        _sweep(folder, keep={revision, before.name if before else revision}, now=now)
    except OSError as wrong:
        raise RoadError(
            f"The road network cannot be written to {folder}: {wrong.strerror or wrong}. "
            "Make room or choose another folder with RISERWAY_FOLDER."
        ) from wrong
    progress("The road network is in use", 1.0)
    return info


def current_folder_or_none(folder: Path) -> Path | None:
    """Return the folder in use, None also where it is damaged, which a new import mends."""
    try:
        return current_folder(folder)
    except RoadError:
        return None


def _kept(revision_folder: Path, credit: str, source: Path) -> NetworkInfo:
    info = replace(read_about(revision_folder), credit=credit, source_file=source.name)
    write_about(revision_folder, info)
    return info


def _build(
    source: Path, built: Path, blank: NetworkInfo, progress: Progress, *, with_basemap: bool
) -> NetworkInfo:
    progress("Reading the roads", 0.05)
    ways = read_ways(source, truck_rule)
    progress("Joining the roads", 0.2)
    graph, stretches = build_roads(ways)
    graph.save(built / GRAPH)
    stretches.save(built)
    info = _measured(blank, ways, graph)
    refusal = ODD_IDS if ways.has_odd_ids else _refusal(source, built, graph, progress)
    if refusal:
        info = replace(info, engine="dijkstra", engine_version="", why_not_osrm=refusal)
    if not with_basemap:
        return info
    try:
        return replace(info, themes=build_basemap(source, built / "basemap", _later(progress)))
    except RegistryError as refused:
        said = f"No base map could be drawn from {source.name}: {refused}"
        return replace(info, warnings=(*info.warnings, said))


def _refusal(source: Path, built: Path, graph: Graph, progress: Progress) -> str:
    """Build OSRM's network and return an empty text, or why it cannot be built."""
    try:
        build_osrm(source, built, int(graph.joined.sum()), progress)
    except OsrmRefusalError as refused:
        for half_built in (BUILT, OPEN, PROFILE):
            shutil.rmtree(built / half_built, ignore_errors=True)
        return str(refused)
    return ""


def _later(progress: Progress) -> Progress:
    """Return a progress line for the base map, which is the last two fifths of the work."""
    return lambda text, share: progress(text, 0.6 + 0.4 * share)


def _blank(
    source: Path, revision: str, digest: str, credit: str, now: datetime, engine_version: str
) -> NetworkInfo:
    return NetworkInfo(
        revision=revision,
        source_file=source.name,
        digest=digest,
        built_at=now,
        credit=credit,
        engine="osrm",
        engine_version=engine_version,
        box=Box(0, 0, 0, 0),
    )


def _measured(blank: NetworkInfo, ways: Ways, graph: Graph) -> NetworkInfo:
    west, south = graph.shape.min(axis=0).tolist()
    east, north = graph.shape.max(axis=0).tolist()
    warnings: tuple[str, ...] = ()
    if ways.missing_nodes:
        warnings = (
            f"{blank.source_file} lacks {ways.missing_nodes:,} of the nodes that its roads name; "
            "those roads end there.",
        )
    return replace(
        blank,
        ways=len(ways.forward),
        junctions=graph.junctions,
        stretches=len(graph.start),
        length_km=round(float(graph.length_m.sum()) / 1000, 3),
        missing_nodes=ways.missing_nodes,
        joined_share=round(graph.joined_share(), 5),
        box=Box(west, south, east, north),
        warnings=warnings,
    )


def _digest(source: Path) -> str:
    with source.open("rb") as stream:
        return hashlib.file_digest(stream, "sha256").hexdigest()


def _revision(digest: str, engine_version: str, with_basemap: bool) -> str:
    profile = Path(__file__).with_name("truck.lua").read_bytes()
    parts = (digest, engine_version, LAYOUT, str(with_basemap), hashlib.sha256(profile).hexdigest())
    return hashlib.sha256("\n".join(parts).encode()).hexdigest()[:NAME_LENGTH]


def is_whole(revision_folder: Path) -> bool:
    """Tell whether a revision's folder still holds every file as it was built."""
    try:
        read_about(revision_folder)
        kept: dict[str, int] = json.loads((revision_folder / SIZES).read_text(encoding="utf-8"))
        return all((revision_folder / name).stat().st_size == size for name, size in kept.items())
    except (OSError, ValueError, RoadError):
        return False


def _write_sizes(built: Path) -> None:
    """Write down every file's size; only the description may change later."""
    sizes = {
        path.relative_to(built).as_posix(): path.stat().st_size
        for path in sorted(built.rglob("*"))
        if path.is_file() and path.name != ABOUT
    }
    (built / SIZES).write_text(json.dumps(sizes, indent=1), encoding="utf-8")


def _move(built: Path, target: Path) -> None:
    """Move a finished revision to its place; another import may have been quicker with the same."""
    if target.is_dir() and not is_whole(target):
        shutil.rmtree(target)
    try:
        built.rename(target)
    except OSError:
        if not target.is_dir():
            raise


def _sweep(folder: Path, keep: set[str], now: datetime) -> None:
    """Delete revisions that are neither in use nor the one before, and what a crash left behind."""
    for old in folder.iterdir():
        stale = old.name.startswith(SCRATCH) and old.stat().st_mtime < now.timestamp() - A_DAY_S
        if stale or (old.name not in keep and (old / ABOUT).is_file()):
            shutil.rmtree(old, ignore_errors=True)
