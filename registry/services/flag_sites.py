"""Flood flags and freeboard of sites, from the layers in the store. Not a flood determination."""

from collections.abc import Collection
from datetime import datetime

from registry.flood.areas import Outlines, edge_distances_m
from registry.flood.facts import EDGE_ACCURACY_M, Hits, facts_from_hits, flag_counts
from registry.flood.sites import positions_deg
from registry.services.datum_offsets import with_offsets
from registry.store import Session
from registry.store.flood_facts import (
    areas_of_sites,
    bfe_lines,
    flood_areas,
    flood_sites,
    save_facts,
)


def flag_sites(
    session: Session,
    now: datetime,
    site_ids: Collection[int] | None = None,
    edge_accuracy_m: float = EDGE_ACCURACY_M,
) -> dict[str, int]:
    """Work out and keep flood facts; return counts of sites, in a hazard area, unknown, below.

    Which area holds which site is asked of PostGIS where the store is one; all else is worked out
    by the same functions on both stores, so that both give the same answers.

    Parameters
    ----------
    now
        The moment to note in the facts.
    site_ids
        Only these sites; None = all.
    edge_accuracy_m
        Nearer than this to an edge a site is marked "near edge". [m]
    """
    outlines, lines = Outlines(flood_areas(session)), bfe_lines(session)
    counts = flag_counts([])
    for found in flood_sites(session, site_ids):
        sites = with_offsets(session, found)
        hits = Hits(
            pairs=areas_of_sites(session, sites, outlines),
            edge_m=edge_distances_m(positions_deg(sites), outlines, edge_accuracy_m),
        )
        facts = facts_from_hits(
            sites, outlines, hits, lines, edge_accuracy_m=edge_accuracy_m, flagged_at=now
        )
        save_facts(session, facts)
        for name, count in flag_counts(facts).items():
            counts[name] += count
    return counts
