"""Two records of one site become one, and two again: nothing is lost on the way."""

from datetime import date
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import select

from registry.errors import ConflictError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.places import ServiceWindow
from registry.records.visits import Hold
from registry.services.merge_sites import merge_sites, undo_merge
from registry.services.recompute_due import recompute_due
from registry.services.see_merge import see_merge
from registry.store import Session, Store, days, obligations, places, sites, visits
from registry.store.personal import Owner, erase_owner
from registry.store.site_load import Done, SiteLoad
from registry.store.sites import merged_keys
from registry.store.soundness import problems_in
from registry.store.systems import systems_of_site
from registry.store.tables import AgreementRow, Base, ComponentRow, SiteMergeRow, SiteRow, SystemRow
from registry.store.window_load import put_windows
from tests.store import rows

TODAY = date(2026, 6, 15)
HISTORY = {"change", "site_merge"}
words = st.sampled_from(
    ["", "a dog; loose", "behind the barn", "Lower; gate: left", "12 Mill Lane"]
)
fields = st.fixed_dictionaries(
    dict.fromkeys(("address", "access_note", "note", "owner_name", "gate_code"), words)
)


def today(_zone: str) -> date:
    return TODAY


def dispatcher(session: Session) -> Viewer:
    return Viewer(name="office", role=Role.DISPATCHER, firm_id=rows.firm(session))


def two_records(session: Session, mine: dict[str, str], theirs: dict[str, str]) -> tuple[int, int]:
    """Two records of one site, each with what hangs on a site."""
    ids = []
    for key, said in (("A-1", mine), ("B-7", theirs)):
        told: dict[str, Any] = {**said, "hazards": [{"kind": "dog", "note": key}]}
        site_id = rows.site(session, key, **told)
        ids.append(site_id)
        system = rows.system_of(session, site_id)
        session.add(ComponentRow(system_id=system, kind="septic tank", label=f"tank {key}"))
        session.add(ComponentRow(system_id=system, kind="pump" if key == "B-7" else "floats"))
        done = ((system, "inspection"),) if key == "B-7" else ()
        visits.record_visit(session, rows.visit(f"v-{key}", site_id, done=done))
        put_windows(session, {site_id: [ServiceWindow(site_id % 5, 480, 720)]}, rows.BY)
        days.put_hold(session, rows.firm(session), Hold(site_id=site_id, on_date=TODAY), rows.NOW)
    session.add(
        AgreementRow(site_id=ids[1], firm_id=rows.firm(session), starts_on=date(2026, 1, 1))
    )
    session.flush()
    recompute_due(session, TODAY)
    return ids[0], ids[1]


def content(session: Session) -> dict[str, list[Any]]:
    """All that the store holds but its history."""
    session.flush()
    return {
        table.name: sorted(map(repr, map(tuple, session.execute(select(*table.columns)))))
        for table in Base.metadata.sorted_tables
        if table.name not in HISTORY
    }


@settings(
    max_examples=4, suppress_health_check=[HealthCheck.function_scoped_fixture], deadline=None
)
@given(mine=fields, theirs=fields, answer=st.sampled_from(["kept", "other", "offered"]),
       is_same=st.booleans())  # fmt: skip
def test_merging_and_taking_it_back_leaves_the_store_as_it_was(
    store: Store, mine: dict[str, str], theirs: dict[str, str], answer: str, is_same: bool
) -> None:
    with store.session() as session:
        kept, other = two_records(session, mine, theirs)
        before = content(session)
        who = dispatcher(session)
        same: dict[int, int] | None = None if is_same else {}
        view = see_merge(session, who, kept, other, same)
        chosen = {one.key: answer for one in view.choices if answer in one.words}
        number = merge_sites(session, who, (kept, other), chosen, same, rows.NOW, today)
        assert content(session) != before
        assert problems_in(session) == []
        done = undo_merge(session, who, number, rows.NOW, today)
        assert done.stayed == ()
        assert content(session) == before
        session.rollback()


def test_what_hung_on_the_other_record_hangs_under_the_one_that_holds(store: Store) -> None:
    with store.session() as session:
        kept, other = two_records(session, {"note": "old well"}, {"note": "new lid"})
        who = dispatcher(session)
        merge_sites(session, who, (kept, other), {}, None, rows.NOW, today)
        site = sites.site(session, kept)
        assert site.note == "old well\nnew lid"
        assert {one.note for one in site.hazards} == {"A-1", "B-7"}
        (system,) = systems_of_site(session, kept)
        assert {one.kind.value for one in system.components} == {"septic tank", "floats", "pump"}
        assert {one.id for one in visits.visits_of_site(session, kept)} == {"v-A-1", "v-B-7"}
        assert {one.site_id for one in visits.visits_of_site(session, kept)} == {kept}
        assert len(visits.readings_of_site(session, kept)) == 2
        assert len(places.agreements_of_sites(session, [kept])) == 1
        owed = obligations.obligations_of_sites(session, [kept, other])
        assert {one.site_id for one in owed} == {kept}
        done = {one.last_done for one in owed if one.task == "inspection"}
        assert done <= {date(2026, 6, 1)}
        assert sites.site(session, other).merged_into_id == kept
        session.rollback()


def test_a_field_changed_since_stays_and_is_named(store: Store) -> None:
    with store.session() as session:
        kept, other = two_records(session, {"address": ""}, {"address": "12 Mill Lane"})
        who = dispatcher(session)
        number = merge_sites(session, who, (kept, other), {}, None, rows.NOW, today)
        row = session.get_one(SiteRow, kept)
        assert row.address == "12 Mill Lane"
        row.address = "14 Mill Lane"
        session.flush()
        assert undo_merge(session, who, number, rows.NOW, today).stayed == ("site: address",)
        assert sites.site(session, kept).address == "14 Mill Lane"
        with pytest.raises(ConflictError, match="taken back already"):
            undo_merge(session, who, number, rows.NOW, today)
        session.rollback()


def test_what_was_changed_since_it_was_shown_is_not_merged(store: Store) -> None:
    with store.session() as session:
        kept, other = two_records(session, {}, {})
        who = dispatcher(session)
        seen = see_merge(session, who, kept, other).seen
        session.get_one(SiteRow, other).note = "new"
        session.flush()
        with pytest.raises(ConflictError, match="changed meanwhile"):
            merge_sites(session, who, (kept, other), {}, None, rows.NOW, today, seen=seen)
        with pytest.raises(RangeError, match="one record"):
            merge_sites(session, who, (kept, kept), {}, None, rows.NOW, today)
        session.rollback()


def test_three_records_merge_in_steps_and_come_apart_in_the_other_order(store: Store) -> None:
    with store.session() as session:
        kept, other = two_records(session, {}, {})
        third = rows.site(session, "C-3")
        recompute_due(session, TODAY, [third])
        visits.record_visit(session, rows.visit("v-C-3", third))
        before = content(session)
        who = dispatcher(session)
        first = merge_sites(session, who, (other, third), {}, None, rows.NOW, today)
        second = merge_sites(session, who, (kept, other), {}, None, rows.NOW, today)
        assert len(visits.visits_of_site(session, kept)) == 3
        assert sites.site(session, third).merged_into_id == kept
        pointing = session.scalars(select(SystemRow.merged_into_id))
        assert {one for one in pointing if one} == {rows.system_of(session, kept)}
        with pytest.raises(ConflictError, match="first"):
            undo_merge(session, who, first, rows.NOW, today)
        undo_merge(session, who, second, rows.NOW, today)
        undo_merge(session, who, first, rows.NOW, today)
        assert content(session) == before
        session.rollback()


def test_an_import_leaves_a_record_that_points_on_as_it_is_and_says_so(store: Store) -> None:
    with store.session() as session:
        kept, other = two_records(session, {}, {})
        merge_sites(session, dispatcher(session), (kept, other), {}, None, rows.NOW, today)
        load = SiteLoad(session=session, firm_id=rows.firm(session), by=rows.BY)
        done = load.put(["B-7"], {"address": ["1 New Street"]}, {"kind": ["mound"]}, new_site={})
        assert (done, load.merged, load.touched) == ([Done.UNCHANGED], {"B-7"}, [])
        assert len(systems_of_site(session, kept)) == 1
        assert merged_keys(session, rows.firm(session), ["A-1", "B-7"]) == {"B-7": "A-1"}
        session.rollback()


def test_an_erasure_reaches_what_taking_a_merge_back_would_restore(store: Store) -> None:
    with store.session() as session:
        mine, theirs = {"owner_name": "Invented Owner", "private_note": "ill"}, {"owner_name": "x"}
        kept, other = two_records(session, mine, theirs)
        who = dispatcher(session)
        chosen = {"site:owner_name": "other"}
        merge_sites(session, who, (kept, other), chosen, None, rows.NOW, today)
        owner = Owner(("Invented Owner",), (kept,), ())
        assert erase_owner(session, owner)["site_merge"] >= 1
        left = session.scalars(select(SiteMergeRow.rows)).one()
        assert "Invented Owner" not in str(left)
        session.rollback()
