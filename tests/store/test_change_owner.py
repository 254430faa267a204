"""A sale: the file stays with the parcel, the old owner's own goes from it, as one change."""

from datetime import date, timedelta

import pytest

from registry.errors import AccessError, ConflictError, NotFoundError, RangeError
from registry.privacy import sees_change
from registry.records.changes import Role, Viewer
from registry.services.change_owner import NewOwner, change_owner, sale_form, undo_sale
from registry.services.recompute_due import recompute_due
from registry.store import Session, history, places, sites, systems, visits
from registry.store.tables import AgreementRow, ServiceWindowRow
from tests.store.due_rows import add, county, house, visit
from tests.store.rows import NOW
from tests.store.test_record_visit import OFFICE, TODAY

COUNTY = Viewer(name="county", role=Role.COUNTY, jurisdiction_ids=(1,))
SOLD_ON = date(2026, 6, 1)
OLD = {
    "owner_name": "Old Owner",
    "owner_phone": "555-0101",
    "owner_email": "old@example.org",
    "owner_address": "1 Former Lane",
    "gate_code": "4711",
    "private_note": "never before nine",
    "occupied_share": 0.5,
    "access_note": "Steep drive.",
}
NEW = NewOwner(owner_name="New Owner", owner_phone="555-0102")


def today(_zone: str) -> date:
    """The date anywhere."""
    return TODAY


@pytest.fixture
def here(session: Session) -> Session:
    """A house with an owner, hours, an agreement without end, and a visit."""
    county(session)
    house(session, 1, site=OLD, system={"people": 5})
    add(
        session,
        AgreementRow(site_id=1, firm_id=1, starts_on=date(2024, 1, 1), ends_on=None),
        AgreementRow(site_id=1, firm_id=1, starts_on=date(2020, 1, 1), ends_on=date(2021, 1, 1)),
        ServiceWindowRow(site_id=1, weekday=0, opens_min=540, closes_min=660),
    )
    visit(session, 1, date(2025, 6, 1))
    recompute_due(session, TODAY)
    return session


def ends(session: Session) -> list[date | None]:
    """Return when the agreements of the house end, by their beginning."""
    found = sorted(places.agreements_of_sites(session, [1]), key=lambda one: one.starts_on)
    return [one.ends_on for one in found]


def sell(session: Session, *, takes_over: bool = False) -> None:
    """Sell the house."""
    change_owner(session, OFFICE, 1, SOLD_ON, NEW, NOW, today, takes_over=takes_over)


def test_the_file_stays_and_what_was_the_old_owners_is_asked_anew(here: Session) -> None:
    sell(here)
    site = sites.site(here, 1)
    assert (site.owner_name, site.owner_phone) == ("New Owner", "555-0102")
    assert {site.owner_email, site.owner_address, site.gate_code, site.private_note} == {""}
    assert site.windows == ()
    assert site.occupied_share == 1.0
    assert site.access_note == "Steep drive."
    assert systems.systems_of_site(here, 1)[0].people is None
    assert len(visits.visits_of_site(here, 1)) == 1
    assert ends(here) == [date(2021, 1, 1), SOLD_ON]
    lines = {one.field: one for one in history.history_of(here, 1)}
    assert lines["owner_name"].before == "Old Owner"
    assert lines["sold"].after == "sold on 2026-06-01; the agreement ends"
    assert [one for one in lines if sees_change(COUNTY, lines[one]) and "owner" in one] == []


def test_a_sale_is_taken_back_as_one_change(here: Session) -> None:
    before, agreed = sites.site(here, 1), ends(here)
    sell(here)
    (sale,) = sale_form(here, OFFICE, 1, today).sales
    undo_sale(here, OFFICE, sale.change_id, NOW + timedelta(hours=1), today)
    assert sites.site(here, 1) == before
    assert systems.systems_of_site(here, 1)[0].people == 5
    assert ends(here) == agreed
    assert not sale_form(here, OFFICE, 1, today).sales[0].stands
    with pytest.raises(ConflictError, match="taken back before"):
        undo_sale(here, OFFICE, sale.change_id, NOW, today)
    sell(here, takes_over=True)
    assert sites.site(here, 1).owner_name == "New Owner"
    assert ends(here) == agreed


def test_what_would_lose_words_or_cannot_be_or_is_not_theirs_is_refused(here: Session) -> None:
    sell(here)
    (sale,) = sale_form(here, OFFICE, 1, today).sales
    sites.change_site(here, who="office", now=NOW, site_id=1, fields={"gate_code": "0815"})
    with pytest.raises(ConflictError, match="Gate code was changed since the sale"):
        undo_sale(here, OFFICE, sale.change_id, NOW, today)
    assert sites.site(here, 1).owner_name == "New Owner"
    with pytest.raises(RangeError, match="lies ahead"):
        change_owner(here, OFFICE, 1, TODAY + timedelta(days=1), NEW, NOW, today, takes_over=False)
    with pytest.raises(RangeError, match="was sold on 2026-06-01 already"):
        sell(here)
    with pytest.raises(AccessError):
        change_owner(here, COUNTY, 1, SOLD_ON, NEW, NOW, today, takes_over=False)
    others = Viewer(name="others", role=Role.DISPATCHER, firm_id=2)
    with pytest.raises(NotFoundError):
        sale_form(here, others, 1, today)
