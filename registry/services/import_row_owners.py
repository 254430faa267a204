"""Whose the rows of a file that hangs on sites are: site, system and component of each."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

from registry.imports.cells import Fault
from registry.imports.column_map import ColumnMap
from registry.imports.part_rows import PartKind
from registry.imports.rows import Rows
from registry.imports.visit_rows import component_named
from registry.records.systems import Component
from registry.services.import_outcome import Tally
from registry.store import Session
from registry.store.sites import merged_keys, site_ids_by_key
from registry.store.systems import components_of_systems, system_ids_of_sites


class Writer(Protocol):
    """What puts the good rows of one kind of file into the store."""

    def prepare(self, rows: Rows) -> None:
        """Note what is wrong with rows that only this kind of file knows."""

    def put(self, rows: Rows, good: Sequence[int], owners: "Owners") -> Sequence[str]:
        """Write rows and return what was done with each."""

    def close(self, tally: Tally, owners: "Owners") -> None:
        """Write what could not be written row by row."""


@dataclass(slots=True)
class Owners:
    """Which site, and where it matters which system and component, each row belongs to; by row.

    ``faulty_sites`` are the sites of which some row could not be taken.
    """

    site: dict[int, int] = field(default_factory=dict)
    system: dict[int, int] = field(default_factory=dict)
    component: dict[int, int] = field(default_factory=dict)
    faulty_sites: set[int] = field(default_factory=set)


def owners_of(
    session: Session, firm_id: int, kind: PartKind, mapped: ColumnMap, rows: Rows
) -> Owners:
    """Return whose rows are whose; a row whose site or system is not kept is at fault."""
    owners = Owners()
    keys = rows.values["site"]
    ids = site_ids_by_key(session, firm_id, {key for key in keys if key})
    systems = system_ids_of_sites(session, ids.values()) if kind.has_systems else {}
    wanted = rows.values.get("system") or [""] * len(rows.sheet)
    merged = merged_keys(session, firm_id, ids)
    for i, key in enumerate(keys):
        site_id = ids.get(key)
        if key in merged:
            fault = Fault(
                f"record {key} was merged into {merged[key]}",
                f"Write {merged[key]} instead, or take the merge back first",
            )
            rows.fault(i, mapped.columns.get("site", "site"), fault)
        if site_id is None:
            if key:
                fault = Fault(
                    f"there is no site {key} in the registry",
                    "Correct the site, or import it first with: riserway import sites",
                )
                rows.fault(i, mapped.columns.get("site", "site"), fault)
            continue
        owners.site[i] = site_id
        if kind.has_systems and kind.name != "systems" and not _only_visit(kind, rows, i):
            found = _system(systems.get(site_id, {}), wanted[i], key)
            if isinstance(found, Fault):
                rows.fault(i, mapped.columns.get("system", "system"), found)
            else:
                owners.system[i] = found
    if kind.name == "readings":
        _find_components(session, rows, owners, mapped.columns.get("component", "component"))
    owners.faulty_sites = {site_id for i, site_id in owners.site.items() if i in rows.faults}
    return owners


def _only_visit(kind: PartKind, rows: Rows, i: int) -> bool:
    """Tell whether a row of past visits says something of the visit only, of no system."""
    told = (rows.values.get(name) for name in ("task", "kind"))
    return kind.name == "readings" and not any(values[i] for values in told if values)


def _system(there: Mapping[str, int], wanted: str, site: str) -> int | Fault:
    if wanted in there:
        return there[wanted]
    if not wanted and len(there) == 1:
        return next(iter(there.values()))
    named = ", ".join(one or "(without a number)" for one in there) or "none"
    if wanted:
        return Fault(f"site {site} has no system {wanted}", f"Its systems: {named}")
    return Fault(f"site {site} has several systems", f"Name one of them: {named}")


def _find_components(session: Session, rows: Rows, owners: Owners, column: str) -> None:
    """Find the component that each reading was made at; one that is not kept is a fault."""
    named = rows.values.get("component")
    if not named:
        return
    parts: dict[int, list[Component]] = {}
    for one in components_of_systems(session, set(owners.system.values())):
        parts.setdefault(one.system_id, []).append(one)
    for i, name in enumerate(named):
        if name and i in owners.system:
            found = component_named(name, parts.get(owners.system[i], []))
            if isinstance(found, Fault):
                rows.fault(i, column, found)
            else:
                owners.component[i] = found
