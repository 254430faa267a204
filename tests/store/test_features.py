"""Features by page, box, date and column, each held to full enumeration, on both databases."""

from datetime import date, timedelta
from typing import Any

import pytest

from registry.errors import NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.feature_filter import Compared, Not
from registry.records.features import COLLECTIONS, Collection, Feature, FeatureQuery
from registry.records.places import Box
from registry.services.features import collection_for, features_page, one_feature
from registry.services.recompute_due import recompute_due
from registry.store import Session
from registry.store.features import SOURCES
from registry.store.tables import FloodFactRow, SiteRow
from tests.store.due_rows import LAT, LON, STEP_DEG, county, house, visit
from web.features.cql2 import condition_in

TODAY = date(2026, 6, 15)
N = 12
CLERK = Viewer(name="clerk", role=Role.COUNTY, jurisdiction_ids=(1,))
BOTH = Viewer(name="both", role=Role.COUNTY, jurisdiction_ids=(1, 2))
OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
OTHERS = Viewer(name="others", role=Role.DISPATCHER, firm_id=2)
NOWHERE = Viewer(name="nowhere", role=Role.COUNTY)


@pytest.fixture
def houses(session: Session) -> Session:
    """Twelve holding tanks: one of another firm and county, one without a place or a date."""
    county(session)
    for number in range(1, N + 1):
        site: dict[str, Any] = {"firm_id": 2, "jurisdiction_id": 2} if number == 5 else {}
        if number == 7:
            site = {"lon": None, "lat": None}
        made = None if number == 7 else date(2020, number, 15)
        house(session, number, "holding tank", installed_on=made, site=site)
        visit(session, number, TODAY - timedelta(days=420 - 10 * number), ("inspection", "alarm"))
        session.add(FloodFactRow(site_id=number, zone="AE", in_hazard_area=number % 2 == 0))
    session.get_one(SiteRow, 1).owner_name = "planted-7731"
    session.flush()
    recompute_due(session, TODAY)
    return session


def every(session: Session, viewer: Viewer, name: str, **asked: object) -> list[Feature]:
    """All features, page by page."""
    found: list[Feature] = []
    after = ""
    while True:
        query = FeatureQuery(**{"limit": 3, "after": after} | asked)  # type: ignore[arg-type]
        page = features_page(session, viewer, collection_for(viewer, name), query, TODAY)
        found += page.features
        if not page.more:
            return found
        after = str(page.features[-1].id)


def numbers(found: list[Feature]) -> list[int]:
    return [int(str(one.values["site"]).removeprefix("S-")) for one in found]


@pytest.mark.parametrize("one", COLLECTIONS, ids=lambda one: one.id)
def test_pages_hold_every_feature_once_and_only_the_viewers(
    houses: Session, one: Collection
) -> None:
    def seen(viewer: Viewer) -> list[int]:
        return sorted(numbers(every(houses, viewer, one.id)))

    others = [5]
    own = [number for number in range(1, N + 1) if number not in others]
    if one.id == "overdue":  # inspected 420 - 10 n days ago, to be inspected every 365
        own = [1, 2, 3, 4]
    assert seen(OFFICE) == seen(CLERK) == own
    assert seen(OTHERS) == others
    assert seen(BOTH) == sorted(own + others)
    assert seen(NOWHERE) == []


def test_columns_are_those_of_the_role_and_their_kinds(houses: Session) -> None:
    for one in COLLECTIONS:
        held = {column.name for column in one.columns}
        assert {column.name for column in one.columns if column.asked} <= set(
            SOURCES[one.id].columns
        )
        for viewer in (OFFICE, CLERK):
            known = collection_for(viewer, one.id)
            for feature in every(houses, viewer, one.id):
                assert list(feature.values) == [column.name for column in known.columns]
                assert set(feature.values) <= held
    assert every(houses, OFFICE, "systems")[0].values["owner_name"] == "planted-7731"
    assert "planted-7731" not in str(every(houses, CLERK, "systems"))
    with pytest.raises(RangeError, match="owner_name"):
        every(houses, CLERK, "systems", equal={"owner_name": "planted-7731"})


def test_a_box_holds_its_edges_and_may_cross_the_date_line(houses: Session) -> None:
    edge = Box(LON + 2 * STEP_DEG, LAT, LON + 6 * STEP_DEG, LAT)
    assert numbers(every(houses, BOTH, "systems", box=edge)) == [2, 3, 4, 5, 6]
    houses.get_one(SiteRow, 1).lon = 179.9
    houses.get_one(SiteRow, 2).lon = -179.9
    houses.flush()
    across = Box(179.0, LAT - 1, -179.0, LAT + 1)
    assert numbers(every(houses, OFFICE, "systems", box=across)) == [1, 2]


def test_values_that_nobody_means_are_answered_with_what_fits_them(houses: Session) -> None:
    wide = Box(-1e300, -1e300, 1e300, 1e300)
    placed = [number for number in range(1, N + 1) if number not in {5, 7}]
    assert numbers(every(houses, OFFICE, "systems", box=wide)) == placed
    assert every(houses, OFFICE, "systems", box=Box(1e299, 0, 1e300, 1)) == []
    for equal in ({"site": "'; --"}, {"site": "\U0001f600"}, {"bedrooms": 1e308}):
        assert every(houses, OFFICE, "systems", equal=equal) == []
    ages = {"has_dates": True, "first": date.min, "last": date.max}
    assert len(every(houses, OFFICE, "systems", **ages)) == N - 1
    assert every(houses, OFFICE, "systems", after="9" * 15) == []


def test_a_span_of_dates_holds_both_ends_and_what_has_no_date(houses: Session) -> None:
    def spanned(first: date | None, last: date | None) -> list[int]:
        asked = {"has_dates": True, "first": first, "last": last}
        return numbers(every(houses, OFFICE, "systems", **asked))

    assert spanned(date(2020, 2, 15), date(2020, 4, 15)) == [2, 3, 4, 7]
    assert spanned(date(2020, 11, 16), None) == [7, 12]
    assert spanned(None, date(2020, 1, 14)) == [7]
    visits = every(houses, OFFICE, "visits", has_dates=True, first=TODAY - timedelta(days=300))
    assert sorted(numbers(visits)) == [12]
    assert visits[0].values["tasks"] == "alarm; inspection"


def test_features_are_chosen_by_words_numbers_yes_or_no_and_dates(houses: Session) -> None:
    def chosen(name: str, **equal: object) -> list[int]:
        return sorted(numbers(every(houses, OFFICE, name, equal=equal)))

    assert chosen("systems", site="S-3") == [3]
    assert chosen("systems", installed_on=date(2020, 3, 15), active=True) == [3]
    assert chosen("systems", jurisdiction="Other County") == []
    assert chosen("flood-flags", in_hazard_area=False) == [1, 3, 7, 9, 11]
    assert chosen("overdue", in_hazard_area=True) == [2, 4]


LIKE_CASES = {"S-1%": [1, 10, 11, 12], "s-1%": [], "S-1_": [10, 11, 12], r"S\-3": [3], "%*%": []}
FILTERS = {
    "site = 'S-3' OR site = 'S-5'": {3, 5},
    "site IN ('S-1','S-2') AND NOT site = 'S-2'": {1},
    "installed_on BETWEEN DATE('2020-02-15') AND DATE('2020-04-15')": {2, 3, 4},
    "installed_on > DATE('2020-11-16')": {12},
    "NOT installed_on > DATE('2020-02-15')": {1, 2},  # an empty date is neither
    "installed_on IS NULL": {7},
    "installed_on IS NOT NULL AND active = TRUE": set(range(1, N + 1)) - {7},
    "active <> TRUE": set(),
    "bedrooms >= 1e300 OR town = ''": set(range(1, N + 1)),
    "site > 'S-8' AND kind < 'holding tanks'": {9},
    "site = '''; DROP TABLE site; --'": set(),
    "TRUE": set(range(1, N + 1)),
    "FALSE OR (FALSE)": set(),
} | {f"site LIKE '{pattern}'": set(found) for pattern, found in LIKE_CASES.items()}
"""What a filter asks of the twelve, and which of them a plain look finds."""


def test_a_filter_chooses_what_a_plain_look_finds(houses: Session) -> None:
    columns = {one.name: one for one in collection_for(BOTH, "systems").columns}
    for said, there in FILTERS.items():
        where = condition_in(said, columns)
        assert set(numbers(every(houses, BOTH, "systems", where=where))) == there, said


def test_a_filter_asks_only_about_columns_of_the_role(houses: Session) -> None:
    for name in ("owner_name", "gate_code", "days_overdue"):
        with pytest.raises(RangeError, match=name):
            every(houses, CLERK, "systems", where=Not(Compared(name, "=", "planted-7731")))


def test_a_visit_that_was_corrected_gives_way_to_its_correction(houses: Session) -> None:
    first = every(houses, OFFICE, "visits", equal={"site": "S-1"})[0]
    later = visit(houses, 1, TODAY, supersedes=first.id, outcome="not reached")
    (left,) = every(houses, OFFICE, "visits", equal={"site": "S-1"})
    assert (left.id, left.values["outcome"]) == (later, "not reached")
    with pytest.raises(NotFoundError):
        one_feature(houses, OFFICE, collection_for(OFFICE, "visits"), str(first.id), TODAY)


def test_one_feature_is_found_by_its_id_by_who_may_see_it(houses: Session) -> None:
    for one in COLLECTIONS:
        known = collection_for(OFFICE, one.id)
        for feature in every(houses, OFFICE, one.id):
            assert one_feature(houses, OFFICE, known, str(feature.id), TODAY) == feature
            with pytest.raises(NotFoundError):
                one_feature(houses, OTHERS, known, str(feature.id), TODAY)
    for nonsense in ("0", "-1", "x", "1.0", "9" * 30, "", "²"):
        with pytest.raises(NotFoundError):
            one_feature(houses, OFFICE, collection_for(OFFICE, "systems"), nonsense, TODAY)
    with pytest.raises(RangeError, match="Start at the first"):
        every(houses, OFFICE, "systems", after="x")


def test_an_overdue_feature_says_how_late_it_is(houses: Session) -> None:
    said = {
        number: one.values for one in every(houses, OFFICE, "overdue") for number in numbers([one])
    }
    for values in said.values():
        due_on = values["due_on"]
        assert isinstance(due_on, date)
        assert values["days_overdue"] == (TODAY - due_on).days > 0
        assert float(str(values["share_passed"])) > 1
