"""Flood facts of many sites at once, on this machine: the join of sites with flood areas."""

from collections.abc import Sequence
from datetime import datetime

from registry.flood.areas import Outlines, areas_at, edge_distances_m
from registry.flood.facts import EDGE_ACCURACY_M, Hits, facts_from_hits
from registry.flood.sites import FloodSite, positions_deg
from registry.records.flood import BfeLine, FloodArea, FloodFact


def flood_facts(
    sites: Sequence[FloodSite],
    areas: Sequence[FloodArea],
    lines: Sequence[BfeLine] = (),
    *,
    edge_accuracy_m: float = EDGE_ACCURACY_M,
    flagged_at: datetime | None = None,
) -> list[FloodFact]:
    """Return what the flood layers say of sites. Not a flood determination.

    Parameters
    ----------
    sites
        The sites, (n,); `registry.flood.sites.flood_site` makes one from records.
    areas
        The flood areas, all of them.
    lines
        The base flood elevation lines, all of them.
    edge_accuracy_m
        Nearer than this to an edge of a special flood hazard area a site is marked "near edge". [m]
    flagged_at
        The moment to note in the facts.

    Returns
    -------
    list of FloodFact
        One per site, in their order; see `facts_from_hits` for what wins and what is unknown.
    """
    outlines = Outlines(areas)
    positions = positions_deg(sites)
    hits = Hits(
        pairs=areas_at(positions, outlines),
        edge_m=edge_distances_m(positions, outlines, edge_accuracy_m),
    )
    return facts_from_hits(
        sites, outlines, hits, lines, edge_accuracy_m=edge_accuracy_m, flagged_at=flagged_at
    )
