"""``riserway plan`` on both stores."""

from datetime import date

import pytest
from click.testing import CliRunner

from registry.cli.plan import command
from registry.services.recompute_due import recompute_due
from registry.store import Store, obligations
from registry.store.tables import AgreementRow, TechnicianRow
from tests.store.due_rows import LAT, LON, add, county, house, visit


@pytest.fixture
def url(store: Store, store_url: str) -> str:
    """A store with an agreement for two inspections a year that ends on 2026-06-20."""
    with store.session() as session:
        county(session)
        house(session, 1)
        visit(session, 1, date(2026, 1, 1))
        agreed = {"starts_on": date(2026, 1, 1), "ends_on": date(2026, 6, 20)}
        add(session, AgreementRow(site_id=1, firm_id=1, visits_a_year=2, **agreed))
        who = {"firm_id": 1, "name": "Ann Other", "initials": "AO", "workdays": [0]}
        shift = {"shift_from_min": 8 * 60, "shift_to_min": 17 * 60}
        add(session, TechnicianRow(home_lon=LON, home_lat=LAT, **who, **shift))
        recompute_due(session, date(2026, 6, 15))
    return store_url


def due_after_a_plan_on(url: str, store: Store, today: str) -> date | None:
    options = ["2026-06-22", "--rounds", "1", "--firm", "Own Firm", "--today", today]
    done = CliRunner().invoke(command, [*options, "--store", url])
    assert done.exit_code == 0, done.output
    with store.reading() as session:
        owed = {one.task: one for one in obligations.obligations_of_sites(session, [1])}
    return owed["inspection"].due_on


def test_a_plan_begins_a_new_day_so_that_an_agreement_which_ended_sets_no_date(
    url: str, store: Store
) -> None:
    assert due_after_a_plan_on(url, store, "2026-06-20") == date(2026, 7, 1)
    # without the agreement the rule set's 36 months hold: WAC 246-272A-0270 (1)(d)(i)
    assert due_after_a_plan_on(url, store, "2026-06-21") == date(2029, 1, 1)
