"""What a load of tiles asks for: a sign-in of a filled scratch store, tiles mixed by zoom."""

from datetime import UTC, datetime

import numpy as np

from registry.errors import StoreError
from registry.records.changes import Role, Viewer
from registry.records.places import LonLat
from registry.services.users import add_user, list_users
from registry.store import Store, names
from registry.store.bench_rows import HIGH_DEG, WIDE_DEG, corner_of
from registry.store.cells import tile_at

ZOOMS = tuple(range(7, 15))
SIGN_IN, PASSWORD = "bench reader", "an invented password"
SIGN_IN_OF_ONE = "bench county reader"

type Tile = tuple[int, int, int]


def let_in(store: Store) -> int:
    """Make county sign-ins for all jurisdictions of a scratch store and for one of them.

    Returns how many jurisdictions there are.

    Raises
    ------
    StoreError
        If the store holds anything but what ``bench store`` fills in.
    """
    with store.session() as session:
        known = names.jurisdiction_ids(session)
        there = {one.viewer.name for one in list_users(session)}
        others = there - {SIGN_IN, SIGN_IN_OF_ONE}
        if not known or others or not all(one.startswith("Invented county ") for one in known):
            raise StoreError(
                "This store was not filled by “riserway bench store --keep”, and the load would "
                "add a sign-in to it. Name one that was."
            )
        every = tuple(sorted(known.values()))
        for name, ids in ((SIGN_IN, every), (SIGN_IN_OF_ONE, every[:1])):
            if name not in there:
                viewer = Viewer(name=name, role=Role.COUNTY, jurisdiction_ids=ids)
                add_user(session, viewer, PASSWORD, datetime(2026, 6, 15, tzinfo=UTC))
    return len(known)


def mixed_tiles(counties: int, number: int, chance: np.random.Generator) -> list[Tile]:
    """Return tiles (zoom, column, row) over places in the counties, each zoom as often."""
    corners = np.array([corner_of(int(one)) for one in chance.integers(0, counties, number)])
    places = corners + chance.random((number, 2)) * (WIDE_DEG, HIGH_DEG)
    found = []
    for at in range(number):
        zoom = ZOOMS[at % len(ZOOMS)]
        found.append(tile_at(LonLat(*places[at]), zoom))
    return [found[at] for at in chance.permutation(number)]
