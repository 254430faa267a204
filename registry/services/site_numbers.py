"""From site numbers, as people type them, to ids."""

from collections.abc import Iterable

from registry.errors import NotFoundError
from registry.store import Session
from registry.store.sites import site_ids_of


def site_ids_named(session: Session, keys: Iterable[str], firm_id: int | None = None) -> list[int]:
    """Return the ids of all sites with some numbers; several firms may use the same one.

    Raises
    ------
    NotFoundError
        If a number belongs to no site; all such numbers are named.
    """
    found = {key: site_ids_of(session, key, firm_id) for key in keys}
    missing = [key for key, ids in found.items() if not ids]
    if missing:
        raise NotFoundError(f"There is no site with the number {', '.join(missing)}.")
    return sorted({one for ids in found.values() for one in ids})
