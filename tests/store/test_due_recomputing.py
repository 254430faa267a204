from datetime import date

import pytest
from sqlalchemy import func, select, text

from registry.due.rules_file import read_rules
from registry.records.work import Obligation
from registry.services.explain_due import explain_due
from registry.services.recompute_due import recompute_due, start_new_day
from registry.store import Author, Session
from registry.store.obligations import obligations_of_sites
from registry.store.rules import put_rules, rules, shipped, task_kinds
from registry.store.tables import (
    AgreementRow,
    ChangeRow,
    ObligationRow,
    PermitConditionRow,
    SiteRow,
    SystemDueRow,
)
from tests.store.due_rows import add, county, house, visit

TODAY = date(2026, 6, 15)


@pytest.fixture
def here(session: Session) -> Session:
    county(session)
    return session


def owed(session: Session, number: int) -> dict[str, Obligation]:
    return {one.task: one for one in obligations_of_sites(session, [number])}


def test_the_law_sets_the_date_from_the_last_visit(here):
    house(here, 1)
    visit(here, 1, date(2023, 5, 15))
    recompute_due(here, TODAY)
    one = owed(here, 1)["inspection"]
    assert (one.due_on, one.rule_code) == (date(2026, 5, 15), "wa-gravity")
    assert one.source == "WAC 246-272A-0270 (1)(d)(i)"
    assert (one.last_done, one.counted_from) == (date(2023, 5, 15), date(2023, 5, 15))


def test_a_task_never_done_counts_from_the_day_of_installation(here):
    house(here, 1, "mound", components=["effluent filter"], installed_on=date(2026, 1, 31))
    recompute_due(here, TODAY)
    one = owed(here, 1)["filter"]
    assert (one.last_done, one.counted_from) == (None, date(2026, 1, 31))
    assert one.due_on == date(2027, 1, 31)
    assert "no visit is on record" in one.reason


def test_without_visit_and_day_of_installation_a_task_is_due_when_first_asked_for(here):
    house(here, 1, installed_on=None)
    recompute_due(here, TODAY)
    recompute_due(here, date(2026, 9, 1))
    one = owed(here, 1)["inspection"]
    assert (one.due_on, one.counted_from) == (TODAY, None)
    assert "due now" in one.reason


def test_a_pump_out_resets_the_solids_and_not_the_inspection_clock(here):
    house(here, 1, components=[("septic tank", 1000.0)], system={"people": 4})
    visit(here, 1, date(2023, 6, 1))
    visit(here, 1, date(2025, 6, 1), ["pump-out"])
    recompute_due(here, TODAY)
    now = owed(here, 1)
    assert now["inspection"].due_on == date(2026, 6, 1)
    assert now["pump-out"].counted_from == date(2025, 6, 1)
    assert now["pump-out"].estimated
    assert (now["pump-out"].due_on - date(2025, 6, 1)).days == round(2.6 * 365.25)


def test_measured_solids_override_the_table_until_the_next_pump_out(here):
    house(here, 1, components=[("septic tank", 1500.0)], system={"people": 2})
    full = [("liquid depth", 48.0), ("sludge", 11.0), ("scum", 3.0)]
    visit(here, 1, date(2026, 3, 2), ["inspection"], full)
    recompute_due(here, TODAY)
    one = owed(here, 1)["pump-out"]
    assert (one.due_on, one.estimated) == (date(2026, 3, 2), False)
    visit(here, 1, date(2026, 4, 1), ["pump-out"])
    recompute_due(here, TODAY, [1])
    assert owed(here, 1)["pump-out"].estimated


def test_what_was_not_reached_or_was_corrected_does_not_count_as_done(here):
    house(here, 1)
    visit(here, 1, date(2023, 5, 15))
    visit(here, 1, date(2025, 1, 1), outcome="not reached")
    wrong = visit(here, 1, date(2026, 5, 5))
    visit(here, 1, date(2023, 7, 7), [], supersedes=wrong)
    recompute_due(here, TODAY)
    assert owed(here, 1)["inspection"].last_done == date(2023, 5, 15)


def test_permit_conditions_are_stricter_and_waivers_looser(here):
    for number in (1, 2, 3):
        house(here, number, "mound")
        visit(here, number, date(2026, 1, 1))
    add(
        here,
        PermitConditionRow(system_id=1, task="inspection", months=6, citation="Permit 7, no. 4"),
        PermitConditionRow(
            system_id=2, task="inspection", months=24, citation="Waiver 9", is_waiver=True
        ),
    )
    recompute_due(here, TODAY)
    found = {number: owed(here, number)["inspection"] for number in (1, 2, 3)}
    assert {n: (one.due_on, one.source) for n, one in found.items()} == {
        1: (date(2026, 7, 1), "Permit 7, no. 4"),
        2: (date(2028, 1, 1), "Waiver 9"),
        3: (date(2027, 1, 1), "WAC 246-272A-0270 (1)(d)(ii)"),
    }


def test_an_agreement_binds_while_it_lasts_and_a_new_day_notices_its_end(here):
    house(here, 1)
    visit(here, 1, date(2026, 1, 1))
    add(
        here,
        AgreementRow(
            site_id=1,
            firm_id=1,
            starts_on=date(2026, 1, 1),
            ends_on=date(2026, 6, 20),
            visits_a_year=2,
        ),
    )
    recompute_due(here, TODAY)
    assert owed(here, 1)["inspection"].due_on == date(2026, 7, 1)
    assert start_new_day(here, date(2026, 6, 20)).systems == 0
    assert start_new_day(here, date(2026, 6, 21)).systems == 1
    assert owed(here, 1)["inspection"].due_on == date(2029, 1, 1)
    assert start_new_day(here, date(2026, 6, 21)).systems == 0


def test_agreements_that_began_on_other_days_promise_from_their_own_days_on(here):
    for number, starts in ((1, date(2026, 3, 1)), (2, date(2026, 4, 10)), (3, date(2026, 5, 1))):
        part = "septic tank" if number == 3 else "effluent filter"
        house(here, number, components=[part], installed_on=date(1987, 5, 4))
        add(
            here,
            AgreementRow(
                site_id=number, firm_id=1, starts_on=starts, visits_a_year=2, includes=["filter"]
            ),
        )
    recompute_due(here, TODAY)
    found = {number: owed(here, number).get("filter") for number in (1, 2, 3)}
    assert {n: one and (one.counted_from, one.due_on) for n, one in found.items()} == {
        1: (date(2026, 3, 1), date(2026, 9, 1)),
        2: (date(2026, 4, 10), date(2026, 10, 10)),
        3: None,
    }


def test_why_says_that_an_agreement_counts_from_its_first_day_and_law_from_installation(here):
    house(here, 1, components=["septic tank"], installed_on=date(2023, 5, 4))
    agreed = {"visits_a_year": 1, "includes": ["inspection", "filter"]}
    add(here, AgreementRow(site_id=1, firm_id=1, starts_on=date(2026, 3, 1), **agreed))
    recompute_due(here, TODAY)
    found = {one.task: one for one in explain_due(here, 1, TODAY)}
    said = " ".join(found["inspection"].sentences)
    assert "(law): every 36 months from 2023-05-04, so 2026-05-04. This sets the date." in said
    assert "(agreement): every 12 months from 2026-03-01, so 2027-03-01, which is not" in said
    assert found["filter"].headline == (
        "Effluent filter cleaning: not owed; no effluent filter is among the parts on file."
    )


def test_each_system_is_shown_by_the_obligation_that_is_late_first(here):
    house(here, 1, "mound", components=["effluent filter"])
    for task, day in (("inspection", 5), ("filter", 1), ("pump test", 9), ("purge", 8)):
        visit(here, 1, date(2026, 1, day), [task, "bed check"], note=task)
    recompute_due(here, TODAY)
    worst = here.scalars(select(SystemDueRow)).one()
    assert (worst.task, worst.due_on) == ("filter", date(2027, 1, 1))
    visit(here, 1, date(2026, 6, 1), ["filter"])
    recompute_due(here, TODAY, [1])
    here.expire_all()
    worst = here.scalars(select(SystemDueRow)).one()
    assert worst.task == "inspection"


def test_computing_again_writes_nothing_and_one_site_touches_only_its_own(here):
    for number in (1, 2):
        house(here, number, "mound")
    first = recompute_due(here, TODAY)
    assert first.written == first.obligations > 0
    assert recompute_due(here, TODAY).written == 0
    visit(here, 1, date(2026, 6, 1), ["purge"])
    one = recompute_due(here, TODAY, [1])
    assert (one.systems, one.written) == (1, 1)


def test_what_is_no_longer_owed_goes_away(here):
    house(here, 1, "mound", components=["effluent filter"])
    house(here, 2)
    recompute_due(here, TODAY)
    here.execute(text("DELETE FROM component"))
    done = recompute_due(here, TODAY)
    assert done.removed == 1
    assert "filter" not in owed(here, 1)
    here.get_one(SiteRow, 1).active = False
    here.flush()
    recompute_due(here, TODAY, [1])
    assert here.scalar(select(func.count()).select_from(ObligationRow)) == len(owed(here, 2))
    assert here.scalars(select(SystemDueRow.system_id)).all() == [2]


def test_a_changed_rule_changes_its_own_task_only_and_is_in_the_history(here, now):
    house(here, 1, "mound")
    recompute_due(here, TODAY)
    before = owed(here, 1)
    text_ = (
        '[rules.default-purge]\ntask = "purge"\nmonths = 6\nstatus = "default"\n'
        'system_kinds = ["mound"]\ncitation = "House rule"\n'
    )
    file = read_rules(text_, "own.toml", shipped().tasks, shipped().rules)
    by = Author("office", now, "own.toml")
    done = put_rules(here, file, by)
    assert (done.added, done.changed, done.touched) == (0, 1, {"purge"})
    assert recompute_due(here, TODAY, tasks=done.touched).written == 1
    after = owed(here, 1)
    assert after["purge"].due_on < before["purge"].due_on
    assert {t: o for t, o in after.items() if t != "purge"} == {
        t: o for t, o in before.items() if t != "purge"
    }
    fields = here.scalars(select(ChangeRow.field).where(ChangeRow.row_id == "default-purge"))
    assert {"months", "citation", "system_kinds"} <= set(fields)
    again = put_rules(here, file, by)
    assert (again.added, again.changed, again.unchanged) == (0, 0, 1)


def test_a_removed_rule_stays_away_and_a_changed_task_keeps_the_rest(here, now):
    text_ = 'remove = ["default-filter"]\n[tasks.filter]\nminutes = 7\n'
    file = read_rules(text_, "own.toml", shipped().tasks, shipped().rules)
    put_rules(here, file, Author("office", now))
    assert "default-filter" not in {one.code for one in rules(here)}
    filter_ = next(one for one in task_kinds(here) if one.code == "filter")
    assert filter_.minutes == 7
    assert filter_.steps == shipped().tasks["filter"].steps
