"""Whether the store answers, and how much work waits: what a watching program may know."""

from registry.errors import StoreError
from registry.records.health import Health, StoreHealth
from registry.store import Session, Store, jobs
from registry.store.opening import said_plainly
from registry.store.revisions import newest, revision

NO_ANSWER = "The store does not answer."
NOT_THERE = "There is no store where this server looks for it."
OTHER_REVISION = "The store and this program are of different versions."


def store_health(store: Store) -> StoreHealth:
    """Ask the store for its revision.

    Another revision than the program's is a warning, no failure: while an installation is brought
    up to date one process after another, it is what is to be expected for a while.
    """
    try:
        with said_plainly():
            at = revision(store)
    except StoreError:
        return StoreHealth(Health.FAIL, NO_ANSWER)
    if not at:
        return StoreHealth(Health.FAIL, NOT_THERE)
    if at != newest():
        return StoreHealth(Health.WARN, OTHER_REVISION)
    return StoreHealth(Health.PASS)


def jobs_by_state(session: Session) -> dict[str, int]:
    """Return how many jobs wait and run."""
    return jobs.count_open(session)
