"""Flood facts of sites, from the areas that hold them.

`facts_from_hits` takes the pairs of site and area and the distances to edges from wherever they
were found, in a database or by `registry.flood.join`; the rest is worked out here, so that both
give the same answers. Nothing here is a flood determination.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

import numpy as np
from numpy.typing import NDArray

from registry.flood.areas import Outlines
from registry.flood.bfe_lines import Bfe, bfes_between_lines
from registry.flood.freeboards import Freeboard, freeboard_of
from registry.flood.sites import FloodSite, positions_deg
from registry.flood.zones import ZoneClass, hazard_rank, zone_class
from registry.records.flood import BfeLine, FloodArea, FloodFact

type FloatArray = NDArray[np.float64]
type IntArray = NDArray[np.int64]

EDGE_ACCURACY_M = 20.0
"""Nearer than this to an edge, position and map together do not tell the side; our estimate, of a
phone's position by trees and walls and of the map's line."""

NO_POSITION = "the site has no position"
NO_LAYER = "no flood layer was imported"
OUTSIDE_LAYER = "the site lies outside the flood layer's extent"
FAULTY_OUTLINE = "a flood area near the site has a faulty outline"
STATIC = "the flood area's own base flood elevation"

_UNDECIDED = {
    ZoneClass.UNDETERMINED: "zone D: flooding is possible but was not studied",
    ZoneClass.OPEN_WATER: "the map shows open water here, which is a map code and not a flood zone",
    ZoneClass.NOT_INCLUDED: "the flood map leaves this area out",
}
_NO_BFE = {
    ZoneClass.DEPTH: "no BFE: zone {zone} gives a depth{depth}, not an elevation",
    ZoneClass.APPROXIMATE: "no BFE: zone {zone} was studied without one",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Hits:
    """Where sites lie in a flood layer.

    ``pairs`` (k, 2) are indices of site and area, for every area that holds a site, edges included;
    ``edge_m`` (n,) is the distance to the nearest edge of a special flood hazard area, NaN where
    far. [m]
    """

    pairs: IntArray
    edge_m: FloatArray


def facts_from_hits(
    sites: Sequence[FloodSite],
    outlines: Outlines,
    hits: Hits,
    lines: Sequence[BfeLine] = (),
    *,
    edge_accuracy_m: float = EDGE_ACCURACY_M,
    flagged_at: datetime | None = None,
) -> list[FloodFact]:
    """Return what the flood layers say of sites.

    Where areas overlap, the most hazardous wins (`registry.flood.zones.hazard_rank`; of equal ones
    the one with the higher static base flood elevation, then the first). A site in no area is
    outside, unless it lies outside the layer's whole extent, has no position, or a faulty outline
    may hold it: then it is unknown. The base flood elevation is the area's own (STATIC_BFE), else
    taken between the lines around, else unknown. Outside the hazard area none applies: ``bfe`` and
    ``below_bfe`` are None without a reason.

    Parameters
    ----------
    sites
        The sites, (n,).
    outlines
        The flood areas, whole.
    hits
        Which area holds which site, and how near edges are.
    lines
        The base flood elevation lines.
    edge_accuracy_m
        Nearer than this to an edge a site is marked "near edge". [m]
    flagged_at
        The moment to note in the facts.

    Returns
    -------
    list of FloodFact
        One per site, in their order.
    """
    positions = positions_deg(sites)
    why_nowhere = _nowhere(positions, outlines)
    areas_of = _by_site(hits.pairs, outlines, len(sites))
    bfes = _bfes(positions, areas_of, outlines, lines)
    facts = []
    for i, site in enumerate(sites):
        area = outlines.areas[areas_of[i][0]] if areas_of[i] else None
        is_in, why = _side(area, why_nowhere[i])
        bfe = bfes.get(i, Bfe(None, ""))
        board = Freeboard()
        if bfe.elevation is not None:
            board = freeboard_of(site, bfe.elevation)
        edge_m = float(hits.edge_m[i])
        is_near = edge_m <= edge_accuracy_m
        facts.append(
            FloodFact(
                site_id=site.site_id,
                zone=area.zone if area else "",
                subtype=area.subtype if area else "",
                in_hazard_area=is_in,
                near_edge=is_near,
                edge_m=edge_m if is_near else None,
                bfe=bfe.elevation,
                bfe_method=bfe.how if bfe.elevation else "",
                below_bfe=board.is_below,
                lowest_freeboard_ft=board.lowest_ft,
                lowest_component=board.lowest_component,
                unknown_why=why or ("" if bfe.elevation else bfe.how) or board.unknown_why,
                flagged_at=flagged_at,
            )
        )
    return facts


def is_unknown(fact: FloodFact) -> bool:
    """Tell whether a site's hazard area, or in one its freeboard, is unknown."""
    return fact.in_hazard_area is None or (fact.in_hazard_area and fact.below_bfe is None)


def flag_counts(facts: Iterable[FloodFact]) -> dict[str, int]:
    """Return how many sites there are, in a hazard area, unknown, with equipment below the BFE."""
    counts = {"sites": 0, "in_hazard_area": 0, "unknown": 0, "below_bfe": 0}
    for fact in facts:
        counts["sites"] += 1
        counts["in_hazard_area"] += fact.in_hazard_area is True
        counts["unknown"] += is_unknown(fact)
        counts["below_bfe"] += fact.below_bfe is True
    return counts


def _nowhere(positions: FloatArray, outlines: Outlines) -> list[str]:
    """Return why a site that no area holds is not simply outside, "" where it is."""
    extent = outlines.extent
    if extent is None and not len(outlines.areas):
        whys = np.full(len(positions), NO_LAYER, dtype=object)
    else:
        whys = np.full(len(positions), "", dtype=object)
        if extent is not None:
            low, high = (extent.west, extent.south), (extent.east, extent.north)
            is_out = ((positions < low) | (positions > high)).any(axis=1)
            whys[is_out] = OUTSIDE_LAYER
        whys[outlines.may_hold(positions)] = FAULTY_OUTLINE
    whys[~np.isfinite(positions).all(axis=1)] = NO_POSITION
    return list(whys)


def _by_site(pairs: IntArray, outlines: Outlines, count: int) -> list[list[int]]:
    """Return each site's areas, the most hazardous first; faulty outlines hold nothing."""
    found: list[list[int]] = [[] for _ in range(count)]
    if not len(pairs):
        return found
    areas, pairs = outlines.areas, pairs[outlines.is_sound[pairs[:, 1]]]
    ranks = np.array([hazard_rank(area) for area in areas])
    static = np.array([a.static_bfe.value_ft if a.static_bfe else -np.inf for a in areas])
    which = pairs[:, 1]
    for site, area in pairs[np.lexsort((which, -static[which], -ranks[which]))]:
        found[site].append(int(area))
    return found


def _side(area: FloodArea | None, why_nowhere: str) -> tuple[bool | None, str]:
    """Return whether a site is in a hazard area, and why that is unknown."""
    if area is not None and area.sfha:
        return True, ""
    if why_nowhere and (area is None or why_nowhere == FAULTY_OUTLINE):
        return None, why_nowhere
    if area is None or area.sfha is False:
        return False, ""
    words = _UNDECIDED.get(zone_class(area.zone))
    return None, words or f"the flood map's zone “{area.zone}” is not known"


def _bfes(
    positions: FloatArray,
    areas_of: list[list[int]],
    outlines: Outlines,
    lines: Sequence[BfeLine],
) -> dict[int, Bfe]:
    """Return the base flood elevation, or why there is none, of each site in a hazard area."""
    found: dict[int, Bfe] = {}
    between: list[tuple[int, int]] = []
    for site, own in enumerate(areas_of):
        if not own or not outlines.areas[own[0]].sfha:
            continue
        hazards = [outlines.areas[i] for i in own if outlines.areas[i].sfha]
        static = next((a.static_bfe for a in hazards if a.static_bfe is not None), None)
        if static is not None:
            found[site] = Bfe(static, STATIC)
            continue
        found[site] = Bfe(None, _no_bfe(hazards[0]))
        detailed = [i for i in own if zone_class(outlines.areas[i].zone) is ZoneClass.DETAILED]
        if detailed and lines:
            between.append((site, detailed[0]))
    if between:
        sites, areas = np.array(between, dtype=np.int64).T
        for site, bfe in zip(
            sites, bfes_between_lines(positions[sites], areas, outlines, lines), strict=True
        ):
            found[int(site)] = bfe if bfe.elevation else Bfe(None, f"no BFE: {bfe.how}")
    return found


def _no_bfe(area: FloodArea) -> str:
    """Return why an area has no base flood elevation of its own."""
    depth = f" of {area.depth_ft:g} ft" if area.depth_ft is not None else ""
    words = _NO_BFE.get(zone_class(area.zone), "no BFE: neither the area nor a line gives one")
    return words.format(zone=area.zone, depth=depth)
