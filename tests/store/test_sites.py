"""Sites are read whole, and every change of one is in its history."""

from datetime import datetime

import pytest

from registry.errors import NotFoundError
from registry.records.places import Hazard, LonLat
from registry.store import Session, history, sites, systems
from tests.store import rows


def test_a_site_comes_back_as_it_was_put_in(session: Session) -> None:
    dog = [{"kind": "dog", "note": "loose; bites\tand barks"}]
    site_id = rows.site(session, "A-1", address='1 "Back\\slash"\nLane', hazards=dog)
    site = sites.site(session, site_id)
    assert site.key == "A-1"
    assert site.lon_lat == LonLat(-140.5, 44.5)
    assert site.address == '1 "Back\\slash"\nLane'
    assert site.hazards == (Hazard("dog", "loose; bites\tand barks"),)
    assert site.occupied_share == 1.0
    assert site.active is True
    (system,) = systems.systems_of_site(session, site_id)
    assert system.kind == "mound"


def test_a_site_that_is_to_be_located_has_no_position(session: Session) -> None:
    assert sites.site(session, rows.site(session, at=None)).lon_lat is None


def test_many_sites_come_in_as_many_queries_as_one(session: Session) -> None:
    from sqlalchemy import event

    ids = [rows.site(session, f"A-{n}") for n in range(5)]
    said: list[str] = []
    connection = session.connection()
    event.listen(connection, "before_cursor_execute", lambda *a: said.append(a[2]))
    assert [one.key for one in sites.sites(session, ids)] == [f"A-{n}" for n in range(5)]
    assert [one.site_id for one in systems.systems_of_sites(session, ids)] == ids
    many = len(said)
    said.clear()
    sites.sites(session, ids[:1])
    systems.systems_of_sites(session, ids[:1])
    assert len(said) == many


def test_more_ids_than_a_statement_takes_parameters_are_no_trouble(session: Session) -> None:
    site_id = rows.site(session)
    found = sites.sites(session, range(site_id, site_id + 100_000))
    assert [one.id for one in found] == [site_id]


def test_a_changed_field_is_in_the_history_with_what_it_was(
    session: Session, now: datetime
) -> None:
    site_id = rows.site(session, note="old")
    fields = {"note": "new", "town": "", "lon_lat": LonLat(-140.25, 44.5)}
    after = sites.change_site(
        session, who="office", now=now, site_id=site_id, fields=fields, source="site file"
    )
    assert (after.note, after.lon_lat) == ("new", LonLat(-140.25, 44.5))
    changes = history.history_of(session, site_id)
    assert [(one.field, one.before, one.after) for one in changes] == [
        ("lon", "-140.5", "-140.25"),
        ("note", "old", "new"),
        ("site", "", "added"),
    ]
    assert {(one.who, one.source, one.at) for one in changes[:2]} == {("office", "site file", now)}


def test_a_field_that_no_site_has_is_refused(session: Session, now: datetime) -> None:
    site_id = rows.site(session)
    with pytest.raises(ValueError, match="colour is not a field"):
        sites.change_site(session, who="x", now=now, site_id=site_id, fields={"colour": "red"})


def test_a_site_that_is_not_there_is_said_to_be_missing(session: Session, now: datetime) -> None:
    with pytest.raises(NotFoundError):
        sites.site(session, 999)
    with pytest.raises(NotFoundError):
        sites.change_site(session, who="x", now=now, site_id=999, fields={"note": "x"})
    with pytest.raises(NotFoundError, match="number Z-9"):
        sites.site_named(session, "Z-9")
