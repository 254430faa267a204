"""Map features for other programs: a role decides which collections and columns there are."""

from dataclasses import replace
from datetime import date

from registry.errors import NotFoundError, RangeError
from registry.privacy import HIDDEN, may, require
from registry.records.changes import Viewer
from registry.records.feature_filter import columns_of
from registry.records.features import (
    COLLECTIONS,
    Collection,
    Column,
    Feature,
    FeaturePage,
    FeatureQuery,
)
from registry.records.places import Box
from registry.store import Session, inventory
from registry.store import features as store
from registry.store.scope import scope_of

MOST = 1_000
"""Features on one page at most."""


def collections_for(viewer: Viewer) -> tuple[Collection, ...]:
    """Return the collections that a viewer may read, each with the columns of the role only.

    Raises
    ------
    AccessError
        If the role may not read features.
    """
    require(viewer, "read features")
    return tuple(_for_role(one, viewer) for one in COLLECTIONS if may(viewer, one.act))


def collection_for(viewer: Viewer, name: str) -> Collection:
    """Return one collection as a viewer may read it.

    Raises
    ------
    AccessError
        If the role may not read features.
    NotFoundError
        If there is no such collection for the role.
    """
    for one in collections_for(viewer):
        if one.id == name:
            return one
    raise NotFoundError(f"There is no collection “{name[:40]}” for your sign-in.")


def features_page(
    session: Session, viewer: Viewer, collection: Collection, asked: FeatureQuery, on_date: date
) -> FeaturePage:
    """Return one page of features of a collection as ``collection_for`` gave it.

    Raises
    ------
    RangeError
        If a column is asked about that the role does not have.
    """
    for name in (*asked.equal, *(columns_of(asked.where) if asked.where else ())):
        column = collection.column(name)
        if column is None or not column.asked:
            raise RangeError(f"There is no column “{name[:40]}” to choose features by.")
    found = store.features(
        session,
        scope_of(viewer),
        collection.id,
        [one.name for one in collection.columns],
        replace(asked, limit=asked.limit + 1),
        collection.moment,
        on_date,
    )
    return FeaturePage(tuple(found[: asked.limit]), len(found) > asked.limit)


def one_feature(
    session: Session, viewer: Viewer, collection: Collection, feature_id: str, on_date: date
) -> Feature:
    """Return one feature of a collection as ``collection_for`` gave it.

    Raises
    ------
    NotFoundError
        If there is no such feature for the viewer.
    """
    names = [one.name for one in collection.columns]
    found = store.feature(session, scope_of(viewer), collection.id, names, feature_id, on_date)
    if found is None:
        raise NotFoundError("There is no such feature in this collection for your sign-in.")
    return found


def extent_for(session: Session, viewer: Viewer) -> Box | None:
    """Return the box around the sites that a viewer sees, None where none has a position."""
    require(viewer, "read features")
    return inventory.extent(session, scope_of(viewer))


def _for_role(collection: Collection, viewer: Viewer) -> Collection:
    kept = tuple(one for one in collection.columns if _shown(one, viewer))
    return replace(collection, columns=kept)


def _shown(column: Column, viewer: Viewer) -> bool:
    if column.of is None:
        return True
    return column.field not in HIDDEN.get(column.of, {}).get(viewer.role, frozenset())
