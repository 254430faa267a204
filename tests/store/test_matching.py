"""A second source's rows wait for a person; what is decided can be taken back. Invented sites."""

from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from registry.cli.office import office
from registry.errors import NotFoundError, RangeError
from registry.services.decide_matches import (
    ToMatch,
    decide_new,
    decide_same,
    decide_sure,
    matches_to_decide,
)
from registry.services.import_parts import import_parts
from registry.services.undo_import import UndoPlan, listed_imports, undo_import, undo_plan
from registry.store import Author, Store
from registry.store.history import as_said, history_of
from registry.store.put import put_row
from registry.store.tables import ForeignRow, SiteRow
from tests.store.importing import bring, counts, kept, request, systems
from tests.store.rows import NOW
from tests.unit.imports import files

LATER = NOW + timedelta(hours=1)
OURS = """key,address,town,parcel,lon,lat,kind,owner_name
A-1,12 Oak Street,Millbrook,1-1,-90,45,gravity,First Owner
A-2,14 Oak Street,Millbrook,1-2,-90.01,45,mound,
7,16 Oak Street,Millbrook,1-3,-90.02,45,mound,
"""
THEIRS = """key,address,town,parcel,lon,lat,kind
7,12 OAK ST,Millbrook,1-1,-90.00001,45,pressure distribution
8,99 Elm Road,Eastfield,9-9,-91,45,mound
9,15 Elm Road,Millbrook,,-90.0101,45,mound
"""


def waiting(store: Store) -> dict[str, ToMatch]:
    with store.reading() as session:
        return {one.row.key: one for one in matches_to_decide(session, office(session, None))[0]}


def both(store: Store, folder: Path) -> None:
    bring(store, files.csv(folder, OURS, "ours.csv"))
    outcome = bring(
        store, files.csv(folder, THEIRS, "theirs.csv"), source="county", now=NOW + timedelta(1)
    )
    assert counts(outcome) == (3, 1, 0, 2, 0)
    assert "2 rows may be sites that are kept and wait" in " ".join(outcome.counts.warnings)


def undo(store: Store, file_name: str, *, dry: bool = False) -> UndoPlan:
    with store.session() as session:
        viewer = office(session, None)
        run = next(one for one in listed_imports(session, viewer) if one.file_name == file_name)
        if dry:
            return undo_plan(session, viewer, run.id)
        return undo_import(session, viewer, run.id, LATER + timedelta(days=2))


def test_rows_that_may_be_kept_sites_wait_and_others_are_new(store: Store, tmp_path: Path) -> None:
    both(store, tmp_path)
    assert set(kept(store)) == {"A-1", "A-2", "7", "8"}
    found = waiting(store)
    assert set(found) == {"7", "9"}
    (mine,) = found["7"].candidates
    assert (mine.site.key, mine.offer.words) == ("A-1", "same parcel, same address, 1 m apart")
    assert {one.name: (one.kept, one.told) for one in mine.differences} == {
        "site.position": ("45.0000000, -90.0000000", "45.0000000, -90.0000100 (county)"),
        "site.address": ("12 Oak Street", "12 OAK ST"),
        "system.kind": ("gravity", "pressure distribution"),
    }
    assert [one.site.key for one in found["9"].candidates] == ["A-2"]
    again = bring(store, tmp_path / "theirs.csv", source="county", now=LATER)
    assert counts(again) == (3, 0, 0, 3, 0)
    assert set(kept(store)) == {"A-1", "A-2", "7", "8"}


def test_a_person_takes_fields_and_the_rest_stays(store: Store, tmp_path: Path) -> None:
    both(store, tmp_path)
    found = waiting(store)
    with store.session() as session:
        viewer = office(session, None)
        row, site = found["7"].row.id, found["7"].candidates[0].site.id
        with pytest.raises(RangeError, match=r"site\.town does not differ"):
            decide_same(session, viewer, row, site, ["site.town"], LATER)
        assert decide_same(session, viewer, row, site, ["site.position"], LATER) == 1
        decide_new(session, viewer, found["9"].row.id, LATER)
        with pytest.raises(NotFoundError, match="decided already"):
            decide_new(session, viewer, row, LATER)
    sites = kept(store)
    assert sites["A-1"].lon_lat == (-90.00001, 45)
    assert (sites["A-1"].position_source, sites["A-1"].address) == ("county", "12 Oak Street")
    assert systems(store)["A-1"].kind == "gravity"
    assert sites["9"].address == "15 Elm Road"
    assert waiting(store) == {}
    with store.reading() as session:
        kept_of_rows = session.scalars(select(ForeignRow.says)).all()
    assert {tuple(one) for one in kept_of_rows} == {("digest",)}  # no second copy of what they say
    with store.reading() as session:
        lines = [one for one in history_of(session, sites["A-1"].id) if one.at == LATER]
    assert {(one.field, one.source) for one in lines} == {
        ("lon", "theirs.csv"), ("position_source", "theirs.csv"),
    }  # fmt: skip
    changed = THEIRS.replace("12 OAK ST", "12 B OAK ST")
    bring(store, files.csv(tmp_path, changed, "theirs.csv"), source="county", now=LATER)
    assert [one.site.key for one in waiting(store)["7"].candidates] == ["A-1"]


def test_a_new_site_never_takes_the_key_of_another(store: Store, tmp_path: Path) -> None:
    both(store, tmp_path)
    row = waiting(store)["7"].row.id
    with store.session() as session:
        decide_new(session, office(session, None), row, LATER)
    assert set(kept(store)) == {"A-1", "A-2", "7", "8", "7 (county)"}


@pytest.mark.parametrize("takes_all", [True, False])
def test_what_is_sure_can_be_decided_at_once(store: Store, tmp_path: Path, takes_all: bool) -> None:
    both(store, tmp_path)
    with store.session() as session:
        count, touched = decide_sure(session, office(session, None), LATER, takes_all=takes_all)
    assert (count, len(touched)) == (1, int(takes_all))
    assert systems(store)["A-1"].kind == ("pressure distribution" if takes_all else "gravity")
    assert set(waiting(store)) == {"9"}


def test_an_import_is_taken_back_whole_with_what_was_decided_of_it(
    store: Store, tmp_path: Path
) -> None:
    both(store, tmp_path)
    before = kept(store)
    with store.session() as session:
        decide_sure(session, office(session, None), LATER, takes_all=True)
    assert undo(store, "theirs.csv", dry=True).n_kept == 0
    done = undo(store, "theirs.csv")
    assert (done.n_rows, done.n_waiting, done.kept) == (1, 1, ())
    after = kept(store)
    assert after["A-1"] == before["A-1"]
    assert systems(store)["A-1"].kind == "gravity"
    gone = next(one for one in after.values() if one.key.startswith("8 (import"))
    assert not gone.active
    assert waiting(store) == {}
    with pytest.raises(RangeError, match="taken back already"):
        undo(store, "theirs.csv")
    outcome = bring(store, tmp_path / "theirs.csv", source="county", now=LATER + timedelta(3))
    assert counts(outcome) == (3, 1, 0, 2, 0)  # its own key is free again
    with store.reading() as session:
        said = [(one.field, one.before, one.after) for one in history_of(session, gone.id)]
    assert ("key", "8", gone.key) in said


def test_what_was_changed_since_stays_and_is_named(store: Store, tmp_path: Path) -> None:
    bring(store, files.csv(tmp_path, OURS, "ours.csv"))
    second = OURS.replace("First Owner", "Second Owner").replace("Millbrook", "Eastfield")
    second = second.replace(",-90,45", ",-90.5,45.25").replace("mound", "at-grade")
    bring(store, files.csv(tmp_path, second, "second.csv"), now=LATER)
    with store.session() as session:
        by = Author("somebody", LATER + timedelta(days=1))
        put_row(session, SiteRow, {"key": "A-1", "firm_id": 1}, {"owner_name": "Third Owner"}, by)
    done = undo(store, "second.csv")
    sites = kept(store)
    assert [(one.site, one.what) for one in done.kept] == [("A-1", "owner name")]
    assert sites["A-1"].owner_name == "Third Owner"
    assert (sites["A-1"].town, sites["A-1"].lon_lat) == ("Millbrook", (-90, 45))
    assert systems(store)["A-2"].kind == "mound"


def test_sites_on_which_something_hangs_stay_and_visits_are_refused(
    store: Store, tmp_path: Path
) -> None:
    bring(store, files.csv(tmp_path, OURS, "ours.csv"))
    with store.session() as session:
        parts = files.csv(tmp_path, "site,kind,label\nA-1,septic tank,Tank\n", "parts.csv")
        import_parts(session, request(parts, now=LATER), "components")
        visits = files.csv(
            tmp_path, "site,date,kind,value\nA-2,2025-01-01,counter,12\n", "visits.csv"
        )
        import_parts(session, request(visits, now=LATER), "readings")
    done = undo(store, "ours.csv", dry=True)
    assert {one.site: one.why for one in done.kept} == {
        "A-1": "it was changed since",
        "A-2": "a visit hangs on it",
    }
    assert undo(store, "parts.csv").n_rows == 1
    with store.session() as session:
        run = next(one.id for one in listed_runs(store) if one.file_name == "visits.csv")
        with pytest.raises(RangeError, match="only ever added to"):
            undo_import(session, office(session, None), run, LATER)


def listed_runs(store: Store) -> list[object]:
    from registry.store.import_runs import import_runs

    with store.reading() as session:
        return list(import_runs(session))


def test_hazards_come_back_as_they_were(store: Store, tmp_path: Path) -> None:
    rows = "key,address,hazards\nA,1 Oak St,dog: loose in the yard; rotten lid\n"
    bring(store, files.csv(tmp_path, rows, "ours.csv"))
    before = kept(store)["A"].hazards
    bring(store, files.csv(tmp_path, "key,hazards,address\nA,wasps,1 Oak St\n", "b.csv"), now=LATER)
    assert as_said(list(kept(store)["A"].hazards)) != as_said(list(before))
    undo(store, "b.csv")
    assert kept(store)["A"].hazards == before
