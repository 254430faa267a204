"""Reports of other firms: checked whole, counted as service, taken back; on both stores.

The sources of the rules stand beside each check, as in the rules file that ships.
"""

import csv
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest

from registry.errors import AccessError, ConflictError, FileError, NotFoundError, RowError
from registry.records.changes import Role, Viewer
from registry.records.reports_in import GivenReport
from registry.services.import_licences import import_licences
from registry.services.import_outcome import ImportOutcome, ImportRequest
from registry.services.recompute_due import recompute_due
from registry.services.see_reports import reports_of_visits, see_reports
from registry.services.take_back_reports import runs_of, take_back_reports
from registry.services.take_in_reports import import_reports, take_in_report
from registry.services.undo_import import undo_import, undo_plan
from registry.store import Session, reports_in, visits
from registry.store.obligations import obligations_of_sites
from registry.store.scope import Scope
from registry.store.tables import ComponentRow, LicenceRow, TechnicianRow
from tests.store.due_rows import add, county, house, visit
from tests.store.rows import NOW
from tests.store.test_record_visit import TODAY

COUNTY = Viewer(name="county", role=Role.COUNTY, jurisdiction_ids=(1,))
CLERK = Viewer(name="clerk", role=Role.ADMINISTRATOR)
HEAD = "permit_no,date,received,firm,licence,tasks,scum,sludge,liquid depth,findings,mended,answer"
LICENCES = """number,kind,firm,person,valid_from,valid_to
L-1,maintenance,Invented Reed Works,Ann Invented,2020-01-01,2027-12-31
L-2,maintenance,Invented Sedge,,2020-01-01,2026-03-31
L-3,pumper,Invented Sedge,,,
"""
TANK = 101


@pytest.fixture
def here(session: Session, tmp_path: Path) -> Session:
    """Systems in Clark County, Washington, that an invented firm services, and its licences."""
    county(session, "WA-CLARK")
    house(session, 1, system={"permit_no": "P-1"})
    house(session, 2, system={"permit_no": "P-2"}, site={"firm_id": 2})
    house(session, 3, system={"permit_no": "P-3"}, site={"jurisdiction_id": 2})
    add(session, ComponentRow(id=TANK, system_id=1, kind="septic tank"))
    visit(session, 1, date(2023, 5, 15), readings=[("liquid depth", 48.0)])
    path = tmp_path / "licences.csv"
    path.write_text(LICENCES)
    import_licences(session, request(path))
    recompute_due(session, TODAY)
    return session


def request(path: Path, **more: Any) -> ImportRequest:
    """A file of Own County."""
    fields: dict[str, Any] = {"path": path, "who": "county", "now": NOW, "folder": path.parent}
    return ImportRequest(**(fields | {"jurisdiction": "Own County"} | more))


def bring(session: Session, folder: Path, *rows: str, name: str = "june.csv") -> ImportOutcome:
    """Take a file of reports in."""
    path = folder / name
    path.write_text("\n".join((HEAD, *rows)) + "\n")
    return import_reports(session, request(path), TODAY)


def due(session: Session, site_id: int = 1) -> date | None:
    """Return when the inspection of a site is due."""
    recompute_due(session, TODAY, [site_id])
    (found,) = [one for one in obligations_of_sites(session, [site_id]) if one.task == "inspection"]
    return found.due_on


GOOD = "P-1,2026-06-01,2026-06-10,Invented Reed Works,L-1,inspection,3,10,48,,,"


def test_a_report_counts_as_service_by_the_rule_of_three_years(
    here: Session, tmp_path: Path
) -> None:
    # WAC 246-272A-0270 (1)(d)(i): a gravity system at least every three years.
    assert due(here) == date(2026, 5, 15)
    done = bring(here, tmp_path, GOOD)
    assert (done.counts.added, done.counts.rejected) == (1, 0)
    assert done.touched_site_ids == (1,)
    assert due(here) == date(2029, 6, 1)
    (told,) = reports_in.reports_in(here, Scope(None, (1,)))
    assert (told.firm, told.person, told.source) == (
        "Invented Reed Works", "Ann Invented", "june.csv",
    )  # fmt: skip
    (kept,) = [one for one in visits.visits_of_site(here, 1) if one.id == told.visit_id]
    assert {one.kind: (one.value, one.component_id) for one in kept.readings}["sludge"] == (
        10,
        TANK,
    )


def test_the_same_file_twice_changes_nothing_and_an_answer_lets_a_value_stand(
    here: Session, tmp_path: Path
) -> None:
    bring(here, tmp_path, GOOD)
    again = bring(here, tmp_path, GOOD, GOOD.replace(",10,48", ",10.0,48"))
    assert (again.counts.added, again.counts.unchanged, again.counts.rejected) == (0, 2, 0)
    other = bring(here, tmp_path, GOOD.replace(",10,48", ",12,48"))
    assert "was taken in before, with other words or values" in other.complaints[0].wrong
    asked = 'P-1,2026-06-02,,,L-1,inspection,3,30,48,,,"read twice, it stands"'
    assert bring(here, tmp_path, asked).counts.added == 1  # 30 in of sludge is asked about


WRONG = {
    "P-9,2026-06-01,,,L-1,inspection,,,,,,": ("permit_no", "no such system in the jurisdiction"),
    "P-3,2026-06-01,,,L-1,inspection,,,,,,": ("permit_no", "no such system in the jurisdiction"),
    ",2026-06-01,,,L-1,inspection,,,,,,": ("site", "neither site nor permit_no"),
    "P-1,2026-07-01,,,L-1,inspection,,,,,,": ("date", "2026-07-01 lies in the future"),
    "P-1,2026-06-01,2026-05-30,,L-1,inspection,,,,,,": ("received", "before the visit"),
    "P-1,2019-06-01,,,L-1,inspection,,,,,,": ("licence", "was not valid on 2019-06-01"),
    "P-2,2020-01-10,,,L-1,inspection,,,,,,": ("date", "was put in on 2020-01-15"),
    "P-1,2022-06-01,,,L-1,inspection,,,,,,": ("date", "a later visit, of 2023-05-15, is on file"),
    "P-1,2023-05-15,,,L-1,inspection,,,,,,": ("date", "a visit of 2023-05-15 is on file already"),
    "P-1,2026-06-01,,,L-7,inspection,,,,,,": ("licence", "no licence L-7"),
    "P-1,2026-06-01,,,L-2,inspection,,,,,,": ("licence", "it ended on 2026-03-31"),
    "P-1,2026-06-01,,Other,L-1,inspection,,,,,,": ("firm", "under another name"),
    "P-1,2026-06-01,,,L-1,pump-out,,,,,,": ("licence", "pump-out asks for a pumper licence"),
    "P-1,2026-06-01,,,L-1,dance,,,,,,": ("tasks", "there is no task “dance”"),
    "P-1,2026-06-01,,,L-1,,,,,,,": ("tasks", "it is empty"),
    "P-1,2026-06-01,,,L-1,inspection,3,high,48,,,": ("sludge", "“high” is no number"),
    "P-1,2026-06-01,,,L-1,inspection,61,10,48,,,": ("scum", "61 cannot be"),
    "P-1,2026-06-01,,,L-1,inspection,3,30,48,,,": ("sludge", "30 looks like centimetres"),
    "P-1,2026-06-01,,,L-1,inspection,12,24,30,,,": ("sludge", "cannot be more than the liquid"),
    "P-1,2026-06-01,,,L-1,inspection,,,,fire,,": ("findings", "there is no finding “fire”"),
    "P-1,2026-06-01,,,L-1,inspection,,,,,bypass,": ("mended", "no finding “bypass” waits"),
}


def test_each_bad_row_is_named_with_field_and_remedy_and_the_good_ones_come_in(
    here: Session, tmp_path: Path
) -> None:
    done = bring(here, tmp_path, *WRONG, GOOD)
    assert (done.counts.read, done.counts.added, done.counts.rejected) == (22, 1, 21)
    said = {one.row: one for one in done.complaints}
    for number, (row, (name, words)) in enumerate(WRONG.items(), 2):
        told = [one for one in done.complaints if one.row == number]
        assert [(one.field, words) for one in told if words in one.wrong] == [(name, words)], (
            row,
            told,
        )
        assert said[number].remedy
    assert done.counts.rejects_file
    with Path(done.counts.rejects_file).open() as file:
        assert len(list(csv.DictReader(file))) == 21


def test_licences_of_crews_count_too_and_a_list_is_brought_up_to_date(
    here: Session, tmp_path: Path
) -> None:
    hours = {"shift_from_min": 480, "shift_to_min": 960, "initials": "IH"}
    add(here, TechnicianRow(id=7, firm_id=2, name="Invented Hands", **hours))
    for number, place in (("C-1", "Own County"), ("C-2", "Other County")):
        add(
            here, LicenceRow(technician_id=7, kind="maintenance", number=number, jurisdiction=place)
        )
    rows = [f"P-{n},2026-06-0{n},,,C-{n},inspection,,,,,," for n in (1, 2)]
    done = bring(here, tmp_path, *rows)
    assert (done.counts.added, done.counts.rejected) == (1, 1)
    assert "no licence C-2" in done.complaints[0].wrong
    assert reports_in.reports_in(here, Scope())[0].firm == "Other Firm"
    path = tmp_path / "licences.csv"
    path.write_text(
        LICENCES.replace("2026-03-31", "2028-03-31") + "L-9,,X,,2026-01-02,2026-01-01\n"
    )
    done = import_licences(here, request(path)).counts
    assert (done.added, done.changed, done.unchanged, done.rejected) == (0, 1, 2, 1)
    with pytest.raises(FileError, match="no jurisdiction Nowhere"):
        import_licences(here, request(path, jurisdiction="Nowhere"))
    nobodys = import_licences(here, request(path, jurisdiction=""))
    assert nobodys.counts.rejected == 4
    assert "no jurisdiction is named" in nobodys.complaints[0].wrong


def test_a_finding_is_to_be_mended_by_the_rule_and_a_later_report_closes_it(
    here: Session, tmp_path: Path
) -> None:
    # Clark County Code 24.17.180: critical faults are mended within 30 days.
    bring(here, tmp_path, "P-1,2026-05-04,,,L-1,inspection,,,,open or broken lid,,")
    (open_one,) = see_reports(here, COUNTY, TODAY).to_mend
    assert open_one.mend_by == date(2026, 6, 3) == open_one.finding.follow_up_on
    assert (open_one.citation, open_one.days_late) == ("Clark County Code 24.17.180", 12)
    later = "P-1,2026-06-05,,,L-1,inspection,,,,,open or broken lid,"
    bring(here, tmp_path, later, name="later.csv")
    assert see_reports(here, COUNTY, TODAY).to_mend == ()
    (run,) = [one for one in runs_of(here, COUNTY) if one.file_name == "later.csv"]
    undo_import(here, CLERK, run.id, NOW + timedelta(hours=1))
    assert len(see_reports(here, COUNTY, TODAY).to_mend) == 1


def test_a_report_after_its_fifteen_days_is_told_as_late(here: Session, tmp_path: Path) -> None:
    # Clark County Code 24.17.180: the report within 15 days; the visit was on 20 May.
    rows = ["P-1,2026-05-20,2026-06-05,,L-1,inspection,,,,,,",
            "P-2,2026-05-20,2026-06-04,,L-1,inspection,,,,,,"]  # fmt: skip
    bring(here, tmp_path, *rows)
    came = {one.site: one.visit_id for one in reports_in.reports_in(here, Scope())}
    states = reports_of_visits(here, COUNTY, came.values(), TODAY)
    late = {site: states[visit_id][0] for site, visit_id in came.items()}
    assert late["S-1"].deadline.on_date == late["S-2"].deadline.on_date == date(2026, 6, 4)
    assert [one.sent.sent_on for one in late.values() if one.sent] == [
        date(2026, 6, 5), date(2026, 6, 4),
    ]  # fmt: skip


def test_an_import_taken_back_lets_nothing_of_it_stand_and_may_come_again(
    here: Session, tmp_path: Path
) -> None:
    bring(here, tmp_path, GOOD)
    (run,) = runs_of(here, COUNTY)
    assert undo_plan(here, CLERK, run.id).n_rows == 1
    back = undo_import(here, CLERK, run.id, NOW + timedelta(hours=1))
    assert (back.n_rows, back.touched) == (1, (1,))
    assert due(here) == date(2026, 5, 15)
    assert [one.on_date for one in visits.visits_of_site(here, 1)] == [date(2023, 5, 15)]
    assert len(visits.visits_of_site(here, 1, with_superseded=True)) == 2
    sludge = visits.readings_of_site(here, 1, "sludge")
    assert [(one.value, one.text) for one in sludge] == [(None, "")]
    again = bring(here, tmp_path, GOOD.replace(",10,48", ",12,48"))
    assert again.counts.added == 1
    assert due(here) == date(2029, 6, 1)


TYPED = GivenReport(
    site="S-2",
    on_date=date(2026, 6, 1),
    licence="L-1",
    tasks=("inspection",),
    findings=("worn part",),
)


def test_a_report_typed_in_is_held_to_the_same(here: Session) -> None:
    visit_id, site_id = take_in_report(here, COUNTY, TYPED, TODAY, NOW)
    assert site_id == 2
    assert due(here, 2) == date(2029, 6, 1)
    with pytest.raises(ConflictError, match="taken in before"):
        take_in_report(here, COUNTY, TYPED, TODAY, NOW)
    wrong = GivenReport(site="S-3", on_date=TODAY, licence="L-1", tasks=("inspection",))
    with pytest.raises(RowError, match="no such system in the jurisdiction"):
        take_in_report(here, COUNTY, wrong, TODAY, NOW)
    others = Viewer(name="others", role=Role.COUNTY, jurisdiction_ids=(2,))
    with pytest.raises(NotFoundError):
        take_back_reports(here, others, [visit_id], "", NOW)
    firm = Viewer(name="office", role=Role.DISPATCHER, firm_id=2)
    with pytest.raises(AccessError):
        take_in_report(here, firm, TYPED, TODAY, NOW)
    assert take_back_reports(here, COUNTY, [visit_id], "the wrong house", NOW) == [2]
    with pytest.raises(ConflictError, match="taken back before"):
        take_back_reports(here, COUNTY, [visit_id], "", NOW)
