"""Deadlines on both stores; days are those of the published rules named beside each."""

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from icalendar import Calendar

from registry.errors import AccessError
from registry.records.changes import Role, Viewer
from registry.records.deadlines import DeadlineKind
from registry.report.deadline_calendar import deadline_calendar, deadline_csv
from registry.services.deadlines import all_deadlines, see_deadlines
from registry.services.recompute_due import recompute_due
from registry.store import Session
from registry.store.tables import AgreementRow, GateVisitRow, LetterRow
from tests.store.due_rows import add, county, house, visit
from tests.store.rows import NOW
from tests.store.test_record_visit import TODAY
from tests.store.test_reports_in import COUNTY, LICENCES, bring, request


def agreement(number: int, **more: Any) -> AgreementRow:
    """An agreement of a house since 2024."""
    return AgreementRow(site_id=number, firm_id=1, starts_on=date(2024, 1, 1), **more)


@pytest.fixture
def here(session: Session, tmp_path: Path) -> Session:
    """Houses in Clark County, Washington, each with one thing due."""
    from registry.services.import_licences import import_licences

    county(session, "WA-CLARK")
    for number in (1, 2, 3, 4, 5):
        house(session, number, system={"permit_no": f"P-{number}"})
    house(session, 6, site={"jurisdiction_id": 2})
    add(
        session,
        agreement(2, ends_on=TODAY + timedelta(days=20), renews_on=TODAY + timedelta(days=21)),
        agreement(3, ends_on=date(2025, 12, 31)),
        agreement(4, ends_on=date(2025, 12, 31)),
        agreement(4, ends_on=None),
        agreement(6, ends_on=date(2025, 12, 31)),
    )
    for number in (3, 5):
        add(
            session,
            LetterRow(
                batch="b", site_id=number, sender="authority 1", sender_name="Own County",
                written_on=date(2026, 5, 1), body="", noted_at=NOW,
            ),
        )  # fmt: skip
    visit(session, 5, date(2026, 5, 20))
    made = visit(session, 4, date(2026, 6, 10))
    add(session, GateVisitRow(visit_id=made, digest="d", ending="done", body={}))
    path = tmp_path / "licences.csv"
    path.write_text(LICENCES)
    import_licences(session, request(path))
    bring(session, tmp_path, "P-1,2026-05-30,,,L-1,inspection,,,,open or broken lid,,")
    recompute_due(session, TODAY)
    return session


def test_reports_corrections_agreements_and_letters_stand_in_one_list_by_weeks(
    here: Session,
) -> None:
    found = {(one.kind.value, one.site): one for one in all_deadlines(here, COUNTY, TODAY, 60)}
    assert set(found) == {
        ("report", "S-4"), ("correction", "S-1"), ("agreement", "S-2"), ("agreement", "S-3"),
        ("letter", "S-3"),
    }  # fmt: skip
    # Clark County Code 24.17.180: report in 15 days, critical faults mended in 30 days.
    assert found["report", "S-4"].on_date == date(2026, 6, 25)
    assert found["report", "S-4"].citation == "Clark County Code 24.17.180"
    assert found["correction", "S-1"].on_date == date(2026, 6, 29)
    assert "none follows; by its terms it renews on 6 July 2026" in found["agreement", "S-2"].what
    assert found["agreement", "S-3"].what == "agreement ended, none follows"
    assert found["agreement", "S-3"].days_late == 166
    assert found["letter", "S-3"].on_date == date(2026, 5, 31)  # 30 days, common practice
    # Weeks begin on Monday: ISO 8601.
    view = see_deadlines(here, COUNTY, TODAY, 60)
    assert [(one.monday, one.monday.isoweekday()) for one in view.weeks] == [
        (date(2026, 6, 22), 1), (date(2026, 6, 29), 1),
    ]  # fmt: skip
    assert [one.site for one in view.past] == ["S-3", "S-3"]
    assert view.counts[DeadlineKind.AGREEMENT] == (1, 1)
    only = see_deadlines(here, COUNTY, TODAY, 7, DeadlineKind.REPORT)
    assert (only.past, only.weeks) == ((), ())


def test_the_calendar_is_one_that_a_library_reads_back_and_others_see_none_of_it(
    here: Session,
) -> None:
    # RFC 5545: DTEND is exclusive, lines end with CRLF and hold at most 75 octets.
    found = all_deadlines(here, COUNTY, TODAY, 60)
    text = deadline_calendar(found, NOW, name="Deadlines")
    events = Calendar.from_ical(text).walk("VEVENT")
    assert [one.decoded("dtstart") for one in events] == [one.on_date for one in found]
    assert all(one.decoded("dtend") - one.decoded("dtstart") == timedelta(days=1) for one in events)
    assert len({str(one["uid"]) for one in events}) == len(found)
    assert all(len(line) <= 75 for line in text.split(b"\r\n"))
    again = Calendar.from_ical(deadline_calendar(found, NOW + timedelta(days=1))).walk("VEVENT")
    assert [str(one["uid"]) for one in again] == [str(one["uid"]) for one in events]
    assert deadline_csv(found).count("\r\n") == len(found) + 1
    others = Viewer(name="others", role=Role.COUNTY, jurisdiction_ids=(2,))
    assert [one.site for one in all_deadlines(here, others, TODAY, 60)] == ["S-6"]
    hands = Viewer(name="hands", role=Role.TECHNICIAN, firm_id=1, technician_id=7)
    with pytest.raises(AccessError):
        all_deadlines(here, hands, TODAY, 60)
