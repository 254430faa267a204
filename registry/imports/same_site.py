"""Which of many sites a row of another source may be: by parcel, address and distance."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import shapely

from registry.imports.addresses import plain_address
from registry.imports.parcel_numbers import code
from registry.records.foreign_rows import MatchOffer
from registry.records.geodesy import metres_per_degree
from registry.records.places import LonLat

NEAR_M = 30.0
"""Sites nearer together than this may be one; our estimate."""
MOST_OFFERS = 5
PARCEL, ADDRESS, NEARNESS = 50.0, 40.0, 10.0
"""What each evidence weighs in the order of offers; our estimates."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Placed:
    """What places a site or a row."""

    id: int
    parcel: str = ""
    address: str = ""
    town: str = ""
    lon_lat: LonLat | None = None


@dataclass
class SameSites:
    """Sites that rows are compared with; made once, asked for many rows at a time."""

    sites: Sequence[Placed]
    _by_parcel: dict[str, list[int]] = field(init=False)
    _by_address: dict[str, list[int]] = field(init=False)
    _on_map: list[int] = field(init=False)
    _tree: Any = field(init=False)
    _m_per_deg: Any = field(init=False)

    def __post_init__(self) -> None:
        """Index the sites by what is compared."""
        self._by_parcel = _grouped(code(one.parcel) for one in self.sites)
        self._by_address = _grouped(plain_address(one.address) for one in self.sites)
        self._on_map = [i for i, one in enumerate(self.sites) if one.lon_lat is not None]
        lats = [one.lon_lat.lat for one in self.sites if one.lon_lat is not None]
        self._m_per_deg = np.array(metres_per_degree(float(np.median(lats)) if lats else 0.0))
        self._tree = shapely.STRtree(self._points([self.sites[i] for i in self._on_map]))

    def offers(self, rows: Sequence[Placed]) -> list[list[MatchOffer]]:
        """Return for each row the sites that it may be, the likeliest first."""
        apart = self._apart_m(rows)
        return [self._of(row, apart.get(i, {})) for i, row in enumerate(rows)]

    def _of(self, row: Placed, apart_m: dict[int, float]) -> list[MatchOffer]:
        same_parcel = set(self._by_parcel.get(code(row.parcel), ()) if row.parcel else ())
        address = plain_address(row.address)
        same_address = {
            i
            for i in (self._by_address.get(address, ()) if address else ())
            if _may_be_one_town(row.town, self.sites[i].town)
        }
        found = []
        for i in same_parcel | same_address | set(apart_m):
            far_m = apart_m.get(i)
            if far_m is None:
                far_m = self._between_m(row.lon_lat, self.sites[i].lon_lat)
            nearness = 0.0 if far_m is None else max(0.0, 1 - far_m / NEAR_M)
            found.append(
                MatchOffer(
                    site_id=self.sites[i].id,
                    same_parcel=i in same_parcel,
                    same_address=i in same_address,
                    apart_m=None if far_m is None else round(far_m, 1),
                    score=round(
                        PARCEL * (i in same_parcel)
                        + ADDRESS * (i in same_address)
                        + NEARNESS * nearness,
                        1,
                    ),
                )
            )
        return sorted(found, key=lambda one: (-one.score, one.site_id))[:MOST_OFFERS]

    def _apart_m(self, rows: Sequence[Placed]) -> dict[int, dict[int, float]]:
        """Return by the place of a row the sites near it, with their distances."""
        asked = [i for i, one in enumerate(rows) if one.lon_lat is not None]
        if not asked or not self._on_map:
            return {}
        points = self._points([rows[i] for i in asked])
        pairs = self._tree.query(points, predicate="dwithin", distance=NEAR_M)
        far = shapely.distance(points[pairs[0]], self._tree.geometries[pairs[1]])
        found: dict[int, dict[int, float]] = defaultdict(dict)
        for row, site, apart_m in zip(*pairs.tolist(), far.tolist(), strict=True):
            found[asked[row]][self._on_map[site]] = apart_m
        return found

    def _points(self, places: Sequence[Placed]) -> Any:  # noqa: ANN401 - an array of points
        degrees = np.array([one.lon_lat for one in places], dtype=float).reshape(-1, 2)
        return shapely.points(degrees * self._m_per_deg)

    def _between_m(self, one: LonLat | None, other: LonLat | None) -> float | None:
        if one is None or other is None:
            return None
        apart = (np.array(one) - np.array(other)) * self._m_per_deg
        return float(np.hypot(*apart))


def _grouped(codes: Iterable[str]) -> dict[str, list[int]]:
    found: dict[str, list[int]] = defaultdict(list)
    for i, one in enumerate(codes):
        if one:
            found[one].append(i)
    return found


def _may_be_one_town(one: str, other: str) -> bool:
    return not one or not other or plain_address(one) == plain_address(other)
