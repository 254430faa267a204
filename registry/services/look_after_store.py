"""Making, migrating and verifying a store."""

from dataclasses import dataclass, field

from registry.errors import StoreError
from registry.services.gis_views import clear_the_way, make_again
from registry.store import Store
from registry.store.migrate import drift, newest, revision, upgrade
from registry.store.soundness import problems_in, site_count


@dataclass(frozen=True, slots=True, kw_only=True)
class StoreCheck:
    """What a check found: nothing in ``problems`` is well."""

    revision: str
    dialect: str
    sites: int = 0
    problems: list[str] = field(default_factory=list)


def create_store(store: Store) -> tuple[bool, str]:
    """Make the tables of a store; return whether they were made and the revision.

    Raises
    ------
    StoreError
        If there is a store at another revision.
    """
    at = revision(store)
    if at == "":
        return True, upgrade(store)
    if at != newest():
        raise StoreError(f"There is a store at revision {at}. Run: riserway store upgrade.")
    return False, at


def upgrade_store(store: Store) -> tuple[str, str]:
    """Bring a store to the newest revision; return the revisions before and after.

    Raises
    ------
    StoreError
        If there is no store yet, or a newer program made it.
    """
    at = revision(store)
    if at == "":
        raise StoreError("There is no store here yet. Make one with: riserway store create.")
    clear_the_way(store)
    after = upgrade(store)
    make_again(store)
    return at, after


def check_store(store: Store) -> StoreCheck:
    """Verify a store: revision, tables, references, and rules that no column can hold."""
    at = revision(store)
    if at == "":
        return StoreCheck(
            revision="",
            dialect=store.dialect,
            problems=["There is no store here yet. Make one with: riserway store create."],
        )
    if at != newest():
        return StoreCheck(
            revision=at,
            dialect=store.dialect,
            problems=[f"It is not at revision {newest()}. Run: riserway store upgrade."],
        )
    problems = [f"The tables differ from the program: {one}" for one in drift(store)]
    with store.reading() as session:
        return StoreCheck(
            revision=at,
            dialect=store.dialect,
            sites=site_count(session),
            problems=problems + problems_in(session),
        )
