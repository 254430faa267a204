"""Bringing in rows of another source: new sites at once, possible matches for a person."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from registry.imports.same_site import Placed, SameSites
from registry.records.foreign_rows import ForeignSite, ForeignState, MatchOffer
from registry.records.places import LonLat
from registry.store import Author, Session, foreign_rows
from registry.store.scope import Scope
from registry.store.site_load import Done, SiteLoad
from registry.store.site_places import placed_sites
from registry.store.sites import site_ids_by_key

type Columns = Mapping[str, Sequence[Any]]


@dataclass(kw_only=True)
class MatchLoad:
    """One import of another source's sites into a firm.

    A row that may be a site that is kept waits for a person; a row that may be none is a new site.
    What was decided of a row before holds until its values change. ``waiting`` counts the rows
    that wait now, ``further`` those that name a further system of a site.
    """

    session: Session
    firm_id: int
    source: str
    by: Author
    load: SiteLoad
    waiting: int = 0
    further: int = 0
    _same: SameSites = field(init=False)

    def __post_init__(self) -> None:
        """Read what rows are compared with: the sites in use before this import."""
        self._same = SameSites(
            [
                Placed(
                    id=one.id,
                    parcel=one.parcel,
                    address=one.address,
                    town=one.town,
                    lon_lat=one.lon_lat,
                )
                for one in placed_sites(self.session, Scope(self.firm_id), active=True)
            ]
        )

    def put(
        self, keys: Sequence[str], site: Columns, system: Columns, *, new_site: Mapping[str, Any]
    ) -> list[Done]:
        """Take rows in; return for each whether a site was added. Keys must not repeat."""
        known = foreign_rows.known_rows(self.session, self.firm_id, self.source, keys)
        says = [self._says(site, system, i) for i in range(len(keys))]
        fresh = [i for i, key in enumerate(keys) if self._is_news(known.get(key), says[i])]
        offers = dict(zip(fresh, self._offers(fresh, keys, known, says), strict=True))
        new = [i for i in fresh if not offers[i]]
        wait = [i for i in fresh if offers[i]]
        self.waiting += len(wait)
        rows = [self._row(keys[i], known.get(keys[i]), says[i]) for i in wait]
        foreign_rows.put_rows(self.session, rows, [offers[i] for i in wait])
        done = [Done.UNCHANGED] * len(keys)
        for i in new:
            done[i] = Done.ADDED
        self._add(new, keys, known, says, (site, system, new_site))
        return done

    def put_further(self, keys: Sequence[str], _system: Columns) -> list[Done]:
        """Leave further systems of sites: which site they belong to is not decided yet."""
        self.further += len(keys)
        return [Done.UNCHANGED] * len(keys)

    def warnings(self) -> list[str]:
        """Return what a person has to do."""
        said = []
        if self.waiting:
            said.append(
                f"{self.waiting:,} rows may be sites that are kept and wait for you: riserway "
                "match list, or the page Moving in."
            )
        if self.further:
            said.append(
                f"{self.further:,} rows name a further system of a site and are not taken: import "
                "them with riserway import systems once the sites are decided."
            )
        return said

    def _add(
        self,
        new: Sequence[int],
        keys: Sequence[str],
        known: Mapping[str, ForeignSite],
        says: Sequence[Mapping[str, Mapping[str, Any]]],
        columns: tuple[Columns, Columns, Mapping[str, Any]],
    ) -> None:
        if not new:
            return
        site, system, new_site = columns
        own = free_keys(self.session, self.firm_id, [keys[i] for i in new], self.source)
        self.load.put(
            own,
            {name: [values[i] for i in new] for name, values in site.items()},
            {name: [values[i] for i in new] for name, values in system.items()},
            new_site=new_site,
        )
        ids = site_ids_by_key(self.session, self.firm_id, own)
        rows = [
            replace(
                self._row(keys[i], known.get(keys[i]), says[i]),
                says=foreign_rows.sealed(says[i]),
                state=ForeignState.NEW,
                site_id=ids[key],
            )
            for i, key in zip(new, own, strict=True)
        ]
        foreign_rows.put_rows(self.session, rows, [()] * len(rows))

    @staticmethod
    def _says(site: Columns, system: Columns, i: int) -> dict[str, dict[str, Any]]:
        leave = ("jurisdiction_id",)
        return {
            "site": foreign_rows.plain_values(site, i, "site", leave=leave),
            "system": foreign_rows.plain_values(system, i, "system"),
        }

    @staticmethod
    def _is_news(before: ForeignSite | None, says: Mapping[str, Mapping[str, Any]]) -> bool:
        sealed = foreign_rows.sealed
        return before is None or sealed(before.says) != sealed(says)

    def _offers(
        self,
        fresh: Sequence[int],
        keys: Sequence[str],
        known: Mapping[str, ForeignSite],
        says: Sequence[Mapping[str, Mapping[str, Any]]],
    ) -> list[list[MatchOffer]]:
        """Return which sites the rows may be; a row that was decided before is the same site."""
        rows = [_placed(says[i]["site"]) for i in fresh]
        found = self._same.offers(rows)
        for place, i in enumerate(fresh):
            before = known.get(keys[i])
            if before is None or before.site_id is None:
                continue
            mine = [one for one in found[place] if one.site_id == before.site_id]
            found[place] = mine or [
                MatchOffer(
                    site_id=before.site_id,
                    same_parcel=False,
                    same_address=False,
                    apart_m=None,
                    score=0.0,
                )
            ]
        return found

    def _row(
        self, key: str, before: ForeignSite | None, says: Mapping[str, Mapping[str, Any]]
    ) -> ForeignSite:
        return ForeignSite(
            id=before.id if before else 0,
            firm_id=self.firm_id,
            source=self.source,
            key=key,
            imported_at=self.by.at,
            file_name=self.by.source,
            says=says,
        )


def free_keys(session: Session, firm_id: int, keys: Sequence[str], source: str) -> list[str]:
    """Return keys for new sites: the other source's own where no site has it yet."""
    named = [f"{key} ({source})" for key in keys]
    taken = site_ids_by_key(session, firm_id, [*keys, *named])
    found: list[str] = []
    for key, other in zip(keys, named, strict=True):
        wanted, number = (other, 2) if key in taken else (key, 2)
        while wanted in taken:
            wanted, number = f"{other} {number}", number + 1
        taken[wanted] = 0
        found.append(wanted)
    return found


def _placed(says: Mapping[str, Any]) -> Placed:
    lon, lat = says.get("lon"), says.get("lat")
    return Placed(
        id=0,
        parcel=says.get("parcel", ""),
        address=says.get("address", ""),
        town=says.get("town", ""),
        lon_lat=None if lon is None or lat is None else LonLat(lon, lat),
    )
