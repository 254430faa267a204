"""Bringing many sites with their systems into the registry, and noting what that changed."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.records.systems import SystemKind
from registry.store.among import among
from registry.store.bulk import default_of, insert_columns, reserve_ids, update_rows
from registry.store.history import Author, as_said, note_changes
from registry.store.locks import lock_tables
from registry.store.tables import ChangeRow, SiteRow, SystemRow

type Columns = Mapping[str, Sequence[Any]]


class Done(StrEnum):
    """What an import did with one row."""

    ADDED = "added"
    CHANGED = "changed"
    UNCHANGED = "unchanged"


@dataclass(kw_only=True)
class SiteLoad:
    """One import of sites into one firm; holds the tables until the session ends.

    ``blank_clears`` False means that an empty value leaves what is kept. ``touched`` are the sites
    that were added or changed so far; ``merged`` are keys of records that point on to another:
    their rows are left, so that what was chosen in the merge holds.
    """

    session: Session
    firm_id: int
    by: Author
    blank_clears: bool = False
    touched: list[int] = field(init=False, default_factory=list)
    merged: set[str] = field(init=False, default_factory=set)
    _may_know: bool = field(init=False, default=True)

    def __post_init__(self) -> None:
        """Lock out other writers and see whether there is anything to compare with."""
        lock_tables(self.session, SiteRow, SystemRow)
        any_site = select(SiteRow.id).where(SiteRow.firm_id == self.firm_id).limit(1)
        self._may_know = self.session.scalar(any_site) is not None

    def put(
        self,
        keys: Sequence[str],
        site: Columns,
        system: Columns,
        *,
        new_site: Mapping[str, Any],
    ) -> list[Done]:
        """Add or bring up to date one site and one system for each key; return what was done.

        Keys must not repeat within an import. ``site`` and ``system`` are columns of the tables;
        ``new_site`` holds values that only sites take that are not kept yet. The system is told
        apart by its own ``key`` column (empty where there is none).
        """
        known = self._known_sites(keys, tuple(site)) if self._may_know else {}
        new = [i for i, key in enumerate(keys) if key not in known]
        done = [Done.UNCHANGED] * len(keys)
        for i in new:
            done[i] = Done.ADDED
        if new:
            self._add(keys, site, system, new, new_site)
        if known:
            self._compare(keys, site, system, known, done)
        return done

    def put_further(self, keys: Sequence[str], system: Columns) -> list[Done]:
        """Add or bring up to date further systems of sites that are kept; return what was done.

        A key may repeat, with another system each time.
        """
        done = [Done.UNCHANGED] * len(keys)
        for i in self._compare(keys, {}, system, self._known_sites(keys, ()), done):
            done[i] = Done.ADDED
        return done

    def _known_sites(
        self, keys: Sequence[str], fields: tuple[str, ...]
    ) -> dict[str, tuple[int, dict[str, Any]]]:
        columns = [getattr(SiteRow, name) for name in fields]
        rows = self.session.execute(
            select(SiteRow.merged_into_id, SiteRow.key, SiteRow.id, *columns).where(
                SiteRow.firm_id == self.firm_id, among(self.session, SiteRow.key, keys)
            )
        ).all()
        self.merged |= {row[1] for row in rows if row[0] is not None}
        return {row[1]: (row[2], dict(zip(fields, row[3:], strict=True))) for row in rows}

    def _add(
        self,
        keys: Sequence[str],
        site: Columns,
        system: Columns,
        new: list[int],
        new_site: Mapping[str, Any],
    ) -> None:
        ids = reserve_ids(self.session, SiteRow, len(new))
        every = len(new) == len(keys)
        insert_columns(
            self.session,
            SiteRow,
            {"id": ids, "key": _taken(keys, new, every)}
            | {name: _filled(SiteRow, name, _taken(v, new, every)) for name, v in site.items()},
            {"firm_id": self.firm_id} | {k: v for k, v in new_site.items() if k not in site},
        )
        self._add_systems(ids, system, new, every=every)
        self._note_added("site", ids, ids)
        self.touched += ids

    def _add_systems(
        self, site_ids: Sequence[int], system: Columns, rows: list[int], *, every: bool
    ) -> Sequence[int]:
        ids = reserve_ids(self.session, SystemRow, len(rows))
        constants = {} if "kind" in system else {"kind": SystemKind.UNKNOWN.value}
        insert_columns(
            self.session,
            SystemRow,
            {"id": ids, "site_id": site_ids}
            | {
                name: _filled(SystemRow, name, _taken(v, rows, every)) for name, v in system.items()
            },
            constants,
        )
        return ids

    def _compare(
        self,
        keys: Sequence[str],
        site: Columns,
        system: Columns,
        known: dict[str, tuple[int, dict[str, Any]]],
        done: list[Done],
    ) -> list[int]:
        """Note in ``done`` what differs, and write it; return the rows whose system is new."""
        site_ids = {
            i: known[key][0]
            for i, key in enumerate(keys)
            if key in known and key not in self.merged
        }
        systems = self._known_systems(list(site_ids.values()), tuple(system))
        system_key = system.get("key")
        history: list[Change] = []
        site_changes: dict[int, dict[str, Any]] = {}
        system_changes: dict[int, dict[str, Any]] = {}
        without: list[int] = []
        for i, site_id in site_ids.items():
            found = self._difference(SiteRow, site, i, known[keys[i]][1])
            if found:
                site_changes[site_id] = found
                history += self._lines("site", site_id, site_id, found, known[keys[i]][1])
                done[i] = Done.CHANGED
            mine = systems.get(site_id, {})
            wanted = (system_key[i] if system_key is not None else None) or ""
            if wanted not in mine:
                if system or not mine:
                    without.append(i)
                    done[i] = Done.CHANGED
                continue
            system_id, kept = mine[wanted]
            found = self._difference(SystemRow, system, i, kept)
            if found.get("kind") == SystemKind.UNKNOWN.value and "kind_as_given" not in found:
                del found["kind"]  # the same unknown word, which somebody has looked up since
            if found:
                system_changes[system_id] = found
                history += self._lines("system", system_id, site_id, found, kept)
                done[i] = Done.CHANGED
        update_rows(self.session, SiteRow, site_changes)
        update_rows(self.session, SystemRow, system_changes)
        if without:
            owners = [site_ids[i] for i in without]
            ids = self._add_systems(owners, system, without, every=False)
            history += [
                self.by.change("system", system_id, "system", "", "added", one)
                for system_id, one in zip(ids, owners, strict=True)
            ]
        note_changes(self.session, history)
        self.touched += [one for i, one in site_ids.items() if done[i] is Done.CHANGED]
        return without

    def _known_systems(
        self, site_ids: list[int], fields: tuple[str, ...]
    ) -> dict[int, dict[str, tuple[int, dict[str, Any]]]]:
        columns = [getattr(SystemRow, name) for name in fields]
        rows = self.session.execute(
            select(SystemRow.site_id, SystemRow.key, SystemRow.id, *columns).where(
                among(self.session, SystemRow.site_id, site_ids)
            )
        )
        found: dict[int, dict[str, tuple[int, dict[str, Any]]]] = {}
        for row in rows:
            kept = dict(zip(fields, row[3:], strict=True))
            found.setdefault(row[0], {})[row[1]] = (row[2], kept)
        return found

    def _difference(
        self, kind: type[SiteRow | SystemRow], columns: Columns, i: int, kept: dict[str, Any]
    ) -> dict[str, Any]:
        found = {}
        for name, values in columns.items():
            value = values[i]
            if value is None or value in ("", []):
                if not self.blank_clears:
                    continue
                value = _empty(kind, name)
            if value != kept[name]:
                found[name] = value
        return found

    def _lines(
        self,
        kind: str,
        row_id: int,
        site_id: int,
        found: dict[str, Any],
        kept: dict[str, Any],
    ) -> list[Change]:
        return [
            self.by.change(kind, row_id, name, as_said(kept[name]), as_said(value), site_id)
            for name, value in found.items()
        ]

    def _note_added(self, kind: str, row_ids: Sequence[int], site_ids: Sequence[int]) -> None:
        insert_columns(
            self.session,
            ChangeRow,
            {
                "row_id": [str(one) for one in row_ids],
                "site_id": site_ids,
            },
            {
                "at": self.by.at,
                "who": self.by.who,
                "source": self.by.source,
                "kind": kind,
                "field": kind,
                "before": "",
                "after": "added",
            },
        )


def _taken(values: Sequence[Any], rows: list[int], every: bool) -> Sequence[Any]:
    return values if every else [values[i] for i in rows]


def _empty(kind: type[SiteRow | SystemRow], name: str) -> Any:  # noqa: ANN401 - any value
    """Return what an empty field of a row holds."""
    if (kind, name) == (SystemRow, "kind"):
        return SystemKind.UNKNOWN.value
    return default_of(kind.__table__.c[name])


def _filled(kind: type[SiteRow | SystemRow], name: str, values: Sequence[Any]) -> Sequence[Any]:
    """Return values with what an empty field holds in place of None."""
    if kind.__table__.c[name].nullable or None not in values:
        return values
    empty = _empty(kind, name)
    return [empty if one is None else one for one in values]
