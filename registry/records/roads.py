"""What is known about an imported road network: its origin, its size, whose credit it needs."""

from dataclasses import dataclass
from datetime import datetime

from registry.records.places import Box


@dataclass(frozen=True, slots=True, kw_only=True)
class NetworkInfo:
    """One built road network.

    ``revision`` names its folder and changes with the file's content and the tools' versions;
    ``digest`` is the file's SHA-256. ``engine`` is the word for what answers: ``osrm`` or
    ``dijkstra``; ``why_not_osrm`` says why, empty for ``osrm``. ``ways`` counts the drivable ways
    (service roads and tracks included), ``length_km`` their length, ``missing_nodes`` the places of
    ways that the file does not hold (a cut-out has some at its edge), ``joined_share`` the share of
    the junctions from which every other one can be reached and back (0 to 1). ``credit`` must
    stand on every map drawn from it. ``themes`` names the base map's layers.
    """

    revision: str
    source_file: str
    digest: str
    built_at: datetime
    credit: str
    engine: str
    engine_version: str
    why_not_osrm: str = ""
    ways: int = 0
    junctions: int = 0
    stretches: int = 0
    length_km: float = 0.0
    missing_nodes: int = 0
    joined_share: float = 0.0
    box: Box
    themes: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
