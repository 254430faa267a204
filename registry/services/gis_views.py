"""Views for a desktop GIS that reads a PostGIS store itself: which columns, whose rows."""

from dataclasses import dataclass

from registry.errors import AccessError, NotFoundError, RangeError, StoreError
from registry.privacy import may
from registry.records.changes import Viewer
from registry.services.features import collections_for
from registry.store import Session, Store, gis_views
from registry.store.users import user_named, user_with_id


@dataclass(frozen=True, slots=True)
class Views:
    """The views of one database role: which sign-in they see for, "" = it is gone; their names."""

    database_role: str
    sign_in: str
    views: tuple[str, ...]


def make_views(store: Store, database_role: str, sign_in: str) -> Views:
    """Make views through which a database role reads what a sign-in may see, or make them again.

    Raises
    ------
    StoreError
        If the store is not PostGIS, or the database role is not fit.
    NotFoundError
        If there is no such sign-in.
    AccessError
        If its role may not read features.
    RangeError
        If the sign-in is blocked.
    """
    _require_postgis(store)
    with store.session() as session:
        found = user_named(session, sign_in)
        if found is None:
            raise NotFoundError(
                f"There is no sign-in named {sign_in}. See them with: riserway user list."
            )
        if not found.active:
            raise RangeError(f"The sign-in {sign_in} is blocked, so it gets no views.")
        if not may(found.viewer, "read features"):
            raise AccessError(
                f"The sign-in {sign_in} may not read features, so it gets no views. See "
                "docs/roles.md."
            )
        if wrong := gis_views.why_not(session, database_role):
            raise StoreError(f"{wrong}.")
        gis_views.make(session, database_role, found.viewer, _columns(found.viewer))
    return next(one for one in list_views(store) if one.database_role == database_role)


def list_views(store: Store) -> list[Views]:
    """Return the views of all database roles.

    Raises
    ------
    StoreError
        If the store is not PostGIS.
    """
    _require_postgis(store)
    with store.reading() as session:
        return [
            Views(one.database_role, _name(session, one.user_id), one.views)
            for one in gis_views.view_sets(session)
        ]


def drop_views(store: Store, database_role: str) -> None:
    """Drop the views of a database role.

    Raises
    ------
    StoreError
        If the store is not PostGIS.
    NotFoundError
        If it has none.
    """
    known = {one.database_role for one in list_views(store)}
    if database_role not in known:
        raise NotFoundError(
            f"The database role {database_role[:63]} has no views. See: riserway store views."
        )
    with store.session() as session:
        gis_views.drop_views(session, database_role)
        gis_views.drop_schema(session, database_role)


def clear_the_way(store: Store) -> None:
    """Drop all views before tables change; PostgreSQL refuses that while a view reads them."""
    if store.dialect != "postgresql":
        return
    with store.session() as session:
        for one in gis_views.view_sets(session):
            gis_views.drop_views(session, one.database_role)


def make_again(store: Store) -> None:
    """Make all views again, with the columns that each role sees now."""
    if store.dialect != "postgresql":
        return
    with store.session() as session:
        for one in gis_views.view_sets(session):
            found = user_with_id(session, one.user_id)
            if found is not None and may(found.viewer, "read features"):
                gis_views.make(session, one.database_role, found.viewer, _columns(found.viewer))


def _columns(viewer: Viewer) -> dict[str, list[str]]:
    return {one.id: [column.name for column in one.columns] for one in collections_for(viewer)}


def _name(session: Session, user_id: int) -> str:
    found = user_with_id(session, user_id)
    return found.viewer.name if found else ""


def _require_postgis(store: Store) -> None:
    if store.dialect != "postgresql":
        raise StoreError(
            "Views are made in a PostGIS store, and this one is SQLite. A desktop GIS reads it "
            "through the pages: see docs/features.md."
        )
