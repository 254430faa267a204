"""Importing small files in tests: one call, and what is kept in the store afterwards."""

from pathlib import Path
from typing import Any

from sqlalchemy import func, select

from registry.records.systems import System
from registry.services.import_outcome import ImportOutcome, ImportRequest
from registry.services.import_sites import import_sites
from registry.store import Store
from registry.store.sites import sites
from registry.store.systems import systems_of_sites
from registry.store.tables import Base, ImportRow, SiteRow
from tests.store.rows import NOW


def request(path: Path, **fields: Any) -> ImportRequest:
    """A request by "a test"; rejects go beside the file."""
    return ImportRequest(
        **{"path": path, "who": "a test", "now": NOW, "folder": path.parent} | fields
    )


def bring(store: Store, path: Path, **fields: Any) -> ImportOutcome:
    """Import a file of sites."""
    with store.session() as session:
        return import_sites(session, request(path, **fields))


def counts(outcome: ImportOutcome) -> tuple[int, int, int, int, int]:
    """Read, added, changed, unchanged, rejected; the first is the sum of the others."""
    c = outcome.counts
    assert c.read == c.added + c.changed + c.unchanged + c.rejected
    return c.read, c.added, c.changed, c.unchanged, c.rejected


def kept(store: Store) -> dict[str, Any]:
    """All sites by key."""
    with store.reading() as session:
        ids = list(session.scalars(select(SiteRow.id)))
        return {one.key: one for one in sites(session, ids)}


def systems(store: Store) -> dict[str, System]:
    """All systems by the key of their site and their own."""
    with store.reading() as session:
        names = {row.id: row.key for row in session.execute(select(SiteRow.id, SiteRow.key))}
        found = systems_of_sites(session, names)
        return {names[one.site_id] + (f"/{one.key}" if one.key else ""): one for one in found}


def table_counts(store: Store) -> dict[str, int]:
    """The number of rows of every table, but for the lines about imports."""
    with store.reading() as session:
        return {
            one.name: session.scalar(select(func.count()).select_from(one)) or 0
            for one in Base.metadata.sorted_tables
            if one is not ImportRow.__table__
        }
