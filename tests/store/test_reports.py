"""Reports owed and sent, findings to be mended, on both stores."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from registry.errors import AccessError, ConflictError, NotFoundError, RangeError
from registry.records.changes import Role, Viewer
from registry.records.reports import FindingMended, ReportSent, ReportState, ReportTo, SentBy
from registry.services.due_visits import due_visits
from registry.services.import_outcome import ImportRequest
from registry.services.import_rules import import_rules
from registry.services.note_report import (
    note_mended,
    note_sent,
    take_back_mended,
    take_back_sent,
)
from registry.services.recompute_due import recompute_due
from registry.services.see_reports import reports_of_visits, see_notes, see_reports
from registry.services.visit_form import see_visit_form
from registry.store import Session, reports
from registry.store.tables import ComponentRow, TechnicianRow
from tests.store.due_rows import add, county, house
from tests.store.test_record_visit import FILTER, FINDING, FIRST, NOW, SECOND, TANK, TODAY, record

OFFICE = Viewer(name="office", role=Role.DISPATCHER, firm_id=1)
COUNTY = Viewer(name="county", role=Role.COUNTY, jurisdiction_ids=(1,))
OTHERS = Viewer(name="others", role=Role.DISPATCHER, firm_id=2)
HANDS = Viewer(name="hands", role=Role.TECHNICIAN, firm_id=1, technician_id=7)
LID = {"id": FINDING, "kind": "open or broken lid", "note": "cracked", "owner_told": "yes"}
SENT = ReportSent(
    visit_id=FIRST, to=ReportTo.AUTHORITY, sent_on=TODAY, how=SentBy.PORTAL, note="no. 4711"
)
THIRD, FOURTH = (f"{n * 8}-4444-4444-8444-444444444444" for n in ("4", "5"))
TAKEN = NOW + timedelta(hours=1)


@pytest.fixture
def here(session: Session) -> Session:
    """A system in North Carolina, visited today."""
    county(session, "NC")
    house(session, 1, installed_on=date(2020, 1, 15))
    add(
        session,
        TechnicianRow(
            id=7,
            firm_id=1,
            name="Invented Hands",
            initials="IH",
            shift_from_min=480,
            shift_to_min=960,
        ),
        ComponentRow(id=TANK, system_id=1, kind="septic tank"),
        ComponentRow(id=FILTER, system_id=1, kind="effluent filter"),
    )
    recompute_due(session, TODAY)
    return session


def owed(
    session: Session, viewer: Viewer = OFFICE, on_date: date = TODAY
) -> list[tuple[str, int | None]]:
    """To whom reports are owed and how many days late they are."""
    found = see_reports(session, viewer, on_date).owed
    return [(one.state.to, one.state.days_late) for one in found]


def state(
    session: Session, to: ReportTo = ReportTo.AUTHORITY, viewer: Viewer = OFFICE
) -> ReportState:
    """How the report of the first visit stands."""
    return next(
        one for one in reports_of_visits(session, viewer, [FIRST], TODAY)[FIRST] if one.to == to
    )


def test_a_recorded_visit_owes_a_report_until_it_is_noted_as_sent(here: Session) -> None:
    """15A NCAC 18E .1304: a copy in 30 days; 31 days after the visit it is one day late."""
    record(here)
    assert owed(here) == [("authority", -30), ("owner", -30)]
    assert owed(here, on_date=TODAY + timedelta(days=31)) == [("authority", 1), ("owner", 1)]
    note_sent(here, OFFICE, SENT, TODAY, NOW)
    assert owed(here) == [("owner", -30)]
    sent = state(here).sent
    assert sent is not None
    assert (sent.how, sent.note, sent.noted_by) == ("portal", "no. 4711", "office")


def test_a_serious_finding_brings_the_report_forward_to_its_hours(here: Session) -> None:
    """15A NCAC 18E .1304: 48 h after 2026-06-15 14:05 UTC is two days later."""
    record(here, findings=[LID])
    assert owed(here) == [("authority", -2), ("owner", -30)]


def test_a_note_made_by_mistake_is_taken_back_by_another_and_both_stay(here: Session) -> None:
    record(here)
    note_sent(here, OFFICE, SENT, TODAY, NOW)
    take_back_sent(here, OFFICE, FIRST, ReportTo.AUTHORITY, TAKEN)
    assert ("authority", -30) in owed(here)
    first, second = see_notes(here, OFFICE, FIRST, TODAY)[1]
    assert (first.takes_back, second.takes_back) == (None, first.id)
    with pytest.raises(NotFoundError, match="is noted as sent"):
        take_back_sent(here, OFFICE, FIRST, ReportTo.AUTHORITY, TAKEN)
    note_sent(here, OFFICE, replace(SENT, how=SentBy.POST), TODAY, TAKEN)
    sent = state(here).sent
    assert sent is not None
    assert sent.how == "post"


def test_a_report_is_noted_once(here: Session) -> None:
    record(here)
    note_sent(here, OFFICE, SENT, TODAY, NOW)
    with pytest.raises(ConflictError, match="It is noted already"):
        note_sent(here, OFFICE, SENT, TODAY, NOW)
    note_sent(here, OFFICE, replace(SENT, to=ReportTo.OWNER), TODAY, NOW)
    assert owed(here) == []


def test_a_corrected_visit_owes_its_report_again_and_says_what_was_sent(here: Session) -> None:
    record(here)
    note_sent(here, OFFICE, SENT, TODAY, NOW)
    record(here, OFFICE, id=SECOND, supersedes=FIRST, technician_id=7)
    (first, _) = see_reports(here, OFFICE, TODAY).owed
    assert (first.visit_id, first.state.sent_before) == (SECOND, TODAY)
    with pytest.raises(ConflictError, match="corrected"):
        note_sent(here, OFFICE, SENT, TODAY, NOW)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({"sent_on": TODAY + timedelta(days=1)}, "future"),
        ({"sent_on": TODAY - timedelta(days=1)}, "before the visit"),
        ({"note": "x" * 201}, "at most 200"),
    ],
)
def test_a_note_that_makes_no_sense_is_refused(
    here: Session, changed: dict[str, date | str], said: str
) -> None:
    record(here)
    with pytest.raises(RangeError, match=said):
        note_sent(here, OFFICE, replace(SENT, **changed), TODAY, NOW)  # type: ignore[arg-type]  # one field of several kinds


def test_the_authority_sees_what_it_got_and_misses_without_the_firms_words(here: Session) -> None:
    record(here, findings=[LID])
    assert owed(here, COUNTY) == [("authority", -2)]
    note_sent(here, OFFICE, SENT, TODAY, NOW)
    assert owed(here, COUNTY) == []
    sent = state(here, viewer=COUNTY).sent
    assert sent is not None
    assert (sent.sent_on, sent.how, sent.note, sent.noted_by) == (TODAY, "portal", "", "")
    (mend,) = see_reports(here, COUNTY, TODAY).to_mend
    assert mend.finding.owner_told == ""


def test_nobody_notes_reports_of_others(here: Session) -> None:
    record(here)
    for viewer in (HANDS, COUNTY):
        with pytest.raises(AccessError):
            note_sent(here, viewer, SENT, TODAY, NOW)
    with pytest.raises(AccessError):
        see_reports(here, HANDS, TODAY)
    for wrong in (SENT, replace(SENT, visit_id="nothing")):
        with pytest.raises(NotFoundError):
            note_sent(here, OTHERS, wrong, TODAY, NOW)
    assert owed(here, OTHERS) == []


def test_a_finding_is_watched_until_it_is_mended(here: Session) -> None:
    """No rule read for North Carolina sets days for mending: the day of the follow-up stands."""
    record(here, findings=[LID])
    (one,) = see_reports(here, OFFICE, TODAY + timedelta(days=3)).to_mend
    assert (one.mend_by, one.days_late) == (date(2026, 6, 16), 2)
    assert one.citation == "common practice, no source"
    mended = FindingMended(finding_id=FINDING, mended_on=TODAY, note="new lid")
    note_mended(here, OFFICE, mended, TODAY, NOW)
    assert see_reports(here, OFFICE, TODAY).to_mend == ()
    with pytest.raises(ConflictError):
        note_mended(here, OFFICE, mended, TODAY, NOW)
    take_back_mended(here, OFFICE, FINDING, TAKEN)
    assert len(see_reports(here, OFFICE, TODAY).to_mend) == 1
    with pytest.raises(NotFoundError):
        take_back_mended(here, OFFICE, FINDING, TAKEN)


def test_the_visit_held_for_a_finding_is_called_its_follow_up_until_it_is_mended(
    here: Session,
) -> None:
    record(here, findings=[LID])
    next_day = TODAY + timedelta(days=1)
    (due,) = due_visits(here, 1, next_day)
    assert due.task_words[-1] == "follow-up: open or broken lid"
    view = see_visit_form(here, OFFICE, 1, next_day)
    assert (1, "follow-up") in view.owed
    assert view.form.tasks
    note_mended(here, OFFICE, FindingMended(finding_id=FINDING, mended_on=TODAY), TODAY, NOW)
    (due,) = due_visits(here, 1, next_day)
    assert due.follow_ups == ()
    assert due.tasks[-1] == "alarm call"


def test_a_follow_up_that_is_done_mends_its_finding_and_one_that_is_done_partly_does_not(
    here: Session,
) -> None:
    record(here, findings=[LID])
    view = see_visit_form(here, OFFICE, 1, TODAY)
    (offered,) = (one.name for one in view.further if one.code == "follow-up")
    assert offered.endswith(": open or broken lid")
    partly = [{"system_id": 1, "task": "follow-up", "outcome": "partly", "note": "no lid"}]
    done = [{"system_id": 1, "task": "follow-up", "outcome": "done"}]
    record(here, id=SECOND, outcomes=partly, readings=[])
    assert reports.mended_in_force(here, [FINDING]) == {}
    record(here, id=THIRD, supersedes=SECOND, outcomes=done, readings=[])
    (note,) = reports.mended_in_force(here, [FINDING]).values()
    assert (note.mended_on, note.noted_by) == (TODAY, "hands")
    assert note.note == "follow-up visit, Invented Hands"
    assert see_reports(here, OFFICE, TODAY).to_mend == ()
    assert [one for one in see_visit_form(here, OFFICE, 1, TODAY).further
            if one.code == "follow-up"] == []  # fmt: skip
    record(here, id=FOURTH, supersedes=THIRD, outcomes=partly, readings=[])
    assert reports.mended_in_force(here, [FINDING]) == {}


def test_a_firms_own_days_hold_at_once_and_a_removed_rule_tells_no_date(
    here: Session, tmp_path: Path
) -> None:
    record(here)
    file = tmp_path / "own.toml"
    file.write_text(
        'remove = ["nc-report-to-owner"]\n[reports.nc-report]\nrule_set = "NC"\ndays = 5\n'
        'citation = "Invented letter of the county"\n',
        "utf-8",
    )
    request = ImportRequest(path=file, who="office", now=NOW)
    counts = import_rules(here, request, TODAY).counts
    assert (counts.read, counts.changed) == (2, 2)
    assert owed(here) == [("authority", -5), ("owner", None)]
    again = import_rules(here, request, TODAY).counts
    assert again.unchanged == 2


def test_a_visit_without_a_reason_to_report_owes_none(here: Session) -> None:
    record(
        here,
        outcomes=[
            {"system_id": 1, "task": one, "outcome": "not reached", "note": "gate locked"}
            for one in ("inspection", "filter")
        ],
        ending="not reached",
        left_open="gate locked",
        states=[],
        readings=[],
        answers=[],
    )
    assert owed(here) == []


def test_the_moment_of_a_note_is_kept(here: Session) -> None:
    record(here)
    note_sent(here, OFFICE, SENT, TODAY, NOW)
    noted_at = see_notes(here, OFFICE, FIRST, TODAY)[1][0].noted_at
    assert isinstance(noted_at, datetime)
    assert noted_at == NOW
