"""The numbers of a county on both stores, held to rows that are counted by hand."""

from datetime import UTC, date, datetime

import pytest

from registry.records.changes import Role, Viewer
from registry.report.year_rows import year_csv
from registry.services.county_numbers import county_numbers, year_summary
from registry.services.recompute_due import recompute_due
from registry.store import Session
from registry.store.tables import FindingMendedRow, FindingRow, LetterRow
from tests.store.due_rows import add, county, house, visit

TODAY = date(2026, 6, 15)
COUNTY = Viewer(name="county", role=Role.COUNTY, jurisdiction_ids=(1,))
MOMENT = datetime(2026, 6, 1, tzinfo=UTC)


@pytest.fixture
def here(session: Session) -> Session:
    """Four holding tanks of the county and one of another; a holding tank is due each year."""
    county(session)
    for number in (1, 2, 3, 4):
        house(session, number, "holding tank")
    house(session, 5, "mound", installed_on=date(2026, 2, 1))
    house(session, 6, "holding tank", installed_on=None, site={"jurisdiction_id": 2})
    visit(session, 1, date(2024, 5, 10))
    visit(session, 1, date(2025, 5, 10))  # to the day
    visit(session, 2, date(2024, 5, 10))
    visit(session, 2, date(2025, 9, 1), ("inspection", "pump-out"), [("pumped volume", 900.0)])
    visit(session, 3, date(2025, 3, 1), ("inspection", "pump-out"))  # nothing before it
    visit(session, 6, date(2025, 3, 1))
    bad = visit(session, 4, date(2025, 7, 7), ())
    for ident, seriousness in (("a", "serious"), ("b", "serious"), ("c", "note")):
        add(
            session,
            FindingRow(id=ident, visit_id=bad, site_id=4, kind="odour", seriousness=seriousness),
        )
    add(session, FindingMendedRow(finding_id="a", mended_on=TODAY, noted_at=MOMENT))
    add(
        session,
        LetterRow(
            batch="one",
            site_id=2,
            sender="authority 1",
            sender_name="Own County",
            written_on=date(2025, 8, 1),
            body="",
            noted_at=MOMENT,
        ),
    )
    recompute_due(session, TODAY)
    return session


def test_a_year_is_summed_up_as_by_hand(here: Session) -> None:
    one = year_summary(here, COUNTY, 2025, TODAY)
    assert (one.n_systems, one.n_by_kind) == (4, {"holding tank": 4})
    assert (one.n_visits, one.n_systems_visited) == (4, 3)
    assert one.n_tasks == 5
    assert (one.n_on_time, one.n_late, one.n_time_unknown) == (1, 1, 3)
    assert (one.n_findings, one.n_mended) == ({"serious": 2, "note": 1}, 1)
    assert (one.n_serious, one.n_serious_mended) == (2, 1)
    assert (one.n_pumped, one.n_volume_unknown, one.pumped_gal) == (2, 1, 900.0)
    assert one.n_letters == 1
    assert "Serious findings still open,1," in year_csv(one)


def test_this_year_counts_until_today(here: Session) -> None:
    one = year_summary(here, COUNTY, 2026, TODAY)
    assert (one.until, one.n_systems, one.n_visits) == (TODAY, 5, 0)


def test_shares_count_each_system_once_and_months_only_grow(here: Session) -> None:
    found = county_numbers(here, COUNTY, TODAY)
    assert [one.name for one in found.jurisdictions] == ["Own County"]
    assert found.n == sum(one.n for one in found.jurisdictions) == 5
    assert found.n_overdue == sum(one.n_overdue for one in found.kinds)
    late = [one.n_overdue for one in found.months]
    assert len(late) == 25
    assert late == sorted(late)
    this_month = found.months[12]
    assert this_month.month_end == date(2026, 6, 30)
    assert found.months[11].n_overdue <= found.n_overdue <= this_month.n_overdue
