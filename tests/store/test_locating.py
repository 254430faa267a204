"""Sites without a position are located by parcels and address points. Invented places."""

from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import select

from registry.cli.office import office
from registry.errors import FileError, NotFoundError
from registry.services.import_places import import_places
from registry.services.locate_sites import (
    Located,
    locate_sites,
    refuse_offers,
    take_offer,
)
from registry.services.places_to_decide import ToLocate, places_to_decide
from registry.store import Author, Store
from registry.store.history import history_of
from registry.store.scope import Scope
from registry.store.tables import SiteRow
from tests.store.importing import bring, counts, kept, request
from tests.store.rows import NOW
from tests.unit.imports import files

SQUARE, CRESCENT = 0.001, 0.01


def polygon(west: float, south: float, side: float = SQUARE) -> dict[str, Any]:
    east, north = west + side, south + side
    ring = [[west, south], [east, south], [east, north], [west, north], [west, south]]
    return {"type": "Polygon", "coordinates": [ring]}


def layer(store: Store, folder: Path, *features: Any, name: str = "parcels.geojson") -> Any:
    path = files.geojson(folder, *features, name=name)
    with store.session() as session:
        return import_places(session, request(path))


def locate(store: Store) -> Located:
    with store.session() as session:
        return locate_sites(session, Scope(), Author("a test", NOW, "located"))


def left(store: Store) -> dict[str, ToLocate]:
    with store.reading() as session:
        return {one.site: one for one in places_to_decide(session, office(session, None))}


def test_a_parcel_is_found_however_its_number_is_written_and_the_place_is_inside(
    store: Store, tmp_path: Path
) -> None:
    bring(store, files.csv(tmp_path, "key,parcel\nA,012-4.50\nB,R7 12\nC,99-1\n"))
    ring = [[-90, 45], [-89.99, 45], [-89.99, 45.01], [-90, 45.01], [-90, 45.009],
            [-89.991, 45.009], [-89.991, 45.001], [-90, 45.001], [-90, 45]]  # fmt: skip
    crescent = {"type": "Polygon", "coordinates": [ring]}
    outcome = layer(
        store,
        tmp_path,
        files.feature(crescent, APN="12-004-50"),
        files.feature((-90.5, 45.5), APN="R7-12"),
        files.feature(None, APN="99-1"),
    )
    assert counts(outcome) == (3, 2, 0, 0, 1)
    done = locate(store)
    assert (len(done.placed), len(done.doubtful), len(done.unknown)) == (2, 0, 1)
    sites = kept(store)
    place = sites["A"].lon_lat
    assert -89.991 <= place.lon <= -89.99  # in the crescent, not in the hollow of it
    assert sites["A"].position_source == "parcel 12-004-50, parcels.geojson"
    assert 500 < sites["A"].position_accuracy_m < 1_500
    assert (sites["B"].lon_lat, sites["B"].position_accuracy_m) == ((-90.5, 45.5), None)
    assert sites["C"].lon_lat is None
    with store.reading() as session:
        history = history_of(session, sites["B"].id)
    assert {one.field for one in history} >= {"lon", "lat", "position_source"}


def test_a_number_that_two_parcels_have_is_offered_and_decided_by_a_person(
    store: Store, tmp_path: Path
) -> None:
    bring(store, files.csv(tmp_path, "key,parcel\nA,1-23\nB,1-23\nC,12-3\n"))
    layer(
        store,
        tmp_path,
        files.feature(polygon(-90, 45), APN="1-23"),
        files.feature(polygon(-90.1, 45), APN="1-23"),
    )
    assert len(locate(store).doubtful) == 3
    waiting = left(store)
    assert [one.why for one in waiting["A"].offers] == [
        "the parcel number is the same, but 1 other place fits as well"
    ] * 2
    assert "alike, not the same" in waiting["C"].offers[0].why
    chosen = waiting["A"].offers[1]
    with store.session() as session:
        viewer = office(session, None)
        take_offer(session, viewer, chosen.site_id, chosen.place.place, NOW)
        refuse_offers(session, viewer, waiting["B"].site_id)
    assert kept(store)["A"].lon_lat == chosen.place.place
    assert len(locate(store).doubtful) == 1  # what was refused is not offered again
    assert left(store)["B"].was_refused
    with store.session() as session:
        viewer = office(session, None)
        with pytest.raises(NotFoundError, match="not offered any more"):
            take_offer(session, viewer, chosen.site_id, chosen.place.place, NOW)


def test_addresses_place_what_is_certain_and_offer_what_is_alike_with_a_score(
    store: Store, tmp_path: Path
) -> None:
    rows = "A,12 North Oak Street,Millbrook\nB,12 N Oke St,Millbrook\nC,PO Box 12,Millbrook\n"
    bring(store, files.csv(tmp_path, f"key,address,town\n{rows}"))
    points = [
        files.feature((-90, 45), address="12 N OAK ST", town="Millbrook"),
        files.feature((-90.2, 45), address="12 NORTH OAK ST", town="Millbrook"),
        files.feature((-90.4, 45), address="14 N OAK ST", town="Millbrook"),
    ]
    layer(store, tmp_path, *points, name="points.geojson")
    done = locate(store)
    assert (len(done.placed), len(done.doubtful), len(done.unknown)) == (0, 2, 1)
    assert [one.place.said for one in left(store)["A"].offers] == ["12 N OAK ST", "12 NORTH OAK ST"]
    del points[1]
    outcome = layer(store, tmp_path, *points, name="points.geojson")
    assert counts(outcome) == (2, 0, 0, 2, 0)
    assert "1 places of this file's last import are gone." in outcome.counts.notes
    assert len(locate(store).placed) == 1
    offers = left(store)["B"].offers
    assert [one.place.said for one in offers] == ["12 N OAK ST"]
    assert 70 < offers[0].score < 97


def test_a_parcel_and_an_address_that_contradict_each_other_are_a_doubt(
    store: Store, tmp_path: Path
) -> None:
    rows = "A,1-1,12 Oak St\nB,1-2,14 Oak St\n"
    bring(store, files.csv(tmp_path, f"key,parcel,address\n{rows}"))
    layer(
        store,
        tmp_path,
        files.feature(polygon(-90, 45), APN="1-1"),
        files.feature(polygon(-90.1, 45), APN="1-2"),
    )
    layer(
        store,
        tmp_path,
        files.feature((-89.9995, 45.0005), address="12 Oak St"),
        files.feature((-91, 45), address="14 Oak St"),
        name="points.geojson",
    )
    assert len(locate(store).placed) == 1
    assert kept(store)["A"].position_source == "address 12 Oak St, points.geojson"
    assert len(left(store)["B"].offers) == 2


def test_a_position_that_is_kept_is_never_moved(store: Store, tmp_path: Path) -> None:
    bring(store, files.csv(tmp_path, "key,parcel,lon,lat\nA,1-1,-90,45\n"))
    layer(store, tmp_path, files.feature((-91, 46), APN="1-1"))
    assert locate(store).placed == []
    with store.reading() as session:
        assert session.execute(select(SiteRow.lon, SiteRow.lat)).one() == (-90, 45)


def test_a_layer_without_numbers_or_addresses_is_refused(store: Store, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="surely a parcel number or an address"):
        layer(store, tmp_path, files.feature((-90, 45), owner="x"))
