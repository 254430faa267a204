"""What a dispatcher asks of a date is kept and given back."""

from dataclasses import replace
from datetime import date

import pytest

from registry.errors import AccessError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.crew import Technician
from registry.records.visits import Errand, Hold, RuleOut, VisitLink
from registry.services.dispatch_day import (
    add_errand,
    lift_rule_out,
    link_visits,
    list_errands,
    remove_errand,
    rule_out,
    technician_id_of,
    unlink_visits,
)
from registry.services.hold_visit import hold_visit
from registry.services.plan_day import day_input
from registry.store import Session, crew, days, dispatch
from tests.store import rows

MONDAY = date(2026, 6, 15)


@pytest.fixture
def office(session: Session) -> Viewer:
    firm_id = rows.firm(session)
    crew.put_technician(
        session, firm_id, Technician(name="Invented Person", initials="IP"), rows.BY
    )
    return Viewer(name="office", role=Role.DISPATCHER, firm_id=firm_id)


def test_promised_hours_are_kept_with_a_hold(session: Session, office: Viewer):
    hold = Hold(site_id=rows.site(session), on_date=MONDAY, from_min=540, to_min=600)
    hold_visit(session, office, hold, rows.NOW)
    (kept,) = days.holds_on(session, office.firm_id or 0, MONDAY)
    assert (kept.from_min, kept.to_min) == (540, 600)


def test_promised_hours_that_end_before_they_begin_are_refused(session: Session, office: Viewer):
    hold = Hold(site_id=rows.site(session), on_date=MONDAY, from_min=600, to_min=540)
    with pytest.raises(RangeError, match="end before they begin"):
        hold_visit(session, office, hold, rows.NOW)


def test_a_technician_stays_away_on_a_date_or_for_good(session: Session, office: Viewer):
    who = technician_id_of(session, office, "Invented Person")
    once = RuleOut(site_id=rows.site(session), technician_id=who, on_date=MONDAY)
    rule_out(session, office, once)
    rule_out(session, office, once)
    assert day_input(session, office.firm_id or 0, MONDAY).extras.rule_outs == (once,)
    assert dispatch.RULE_OUTS.on(session, office.firm_id or 0, date(2026, 6, 16)) == []
    always = replace(once, on_date=None)
    rule_out(session, office, always)
    assert dispatch.RULE_OUTS.on(session, office.firm_id or 0, date(2026, 6, 16)) == [always]
    lift_rule_out(session, office, always)
    with pytest.raises(NotFoundError):
        lift_rule_out(session, office, always)


def test_an_unknown_technician_is_told_with_those_who_are_known(session: Session, office: Viewer):
    with pytest.raises(NotFoundError, match="Known: Invented Person"):
        technician_id_of(session, office, "Nobody")


def test_one_site_follows_another_until_that_is_dropped(session: Session, office: Viewer):
    first, then = rows.site(session, "A-1"), rows.site(session, "A-2")
    link = VisitLink(on_date=MONDAY, first_site_id=first, then_site_id=then, same_truck=True)
    link_visits(session, office, link)
    assert day_input(session, office.firm_id or 0, MONDAY).extras.links == (link,)
    unlink_visits(session, office, link)
    assert day_input(session, office.firm_id or 0, MONDAY).extras.links == ()
    with pytest.raises(RangeError, match="itself"):
        link_visits(session, office, replace(link, then_site_id=first))


def test_an_errand_is_kept_until_it_is_removed(session: Session, office: Viewer):
    errand = Errand(on_date=MONDAY, name="Laboratory", lon_lat=rows.PLACE, to_min=900)
    number = add_errand(session, office, errand)
    assert list_errands(session, office, MONDAY) == [replace(errand, id=number)]
    remove_errand(session, office, number)
    with pytest.raises(NotFoundError, match=f"no errand {number}"):
        remove_errand(session, office, number)
    with pytest.raises(RangeError, match="end before they begin"):
        add_errand(session, office, replace(errand, from_min=1000))


def test_county_staff_ask_nothing_of_a_day(session: Session, office: Viewer):
    clerk = replace(office, role=Role.COUNTY)
    errand = Errand(on_date=MONDAY, name="Laboratory", lon_lat=rows.PLACE)
    with pytest.raises(AccessError):
        add_errand(session, clerk, errand)
