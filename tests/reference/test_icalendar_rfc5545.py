"""RFC 5545, "Internet Calendaring and Scheduling Core Object Specification", sections 3.1, 3.6.1.

VERIFIED by the errata quoted in the reference values (G-04): CRLF, at most 75 octets a line,
UID and DTSTAMP on every event.
"""

from datetime import UTC

from icalendar import Calendar

from registry.report.day_calendar import day_calendar
from tests.build import at, day, route, stop

PLACE = "12, Long; Lane\\Road\nBack gate, “Mühlenweg” " + "ä" * 60
OUT = day_calendar(day(route(stop("A-1", 9, place=PLACE), stop("A-2", 11))))


def test_lines_end_in_crlf_and_have_at_most_75_octets() -> None:
    assert b"\n" not in OUT.replace(b"\r\n", b"")
    assert max(len(line) for line in OUT.split(b"\r\n")) <= 75


def test_folding_never_cuts_a_character() -> None:
    for line in OUT.split(b"\r\n"):
        line.decode("utf-8")


def test_every_event_has_uid_and_dtstamp_and_reads_back() -> None:
    events = Calendar.from_ical(OUT).walk("VEVENT")
    assert len(events) == 2
    assert len({str(one["UID"]) for one in events}) == 2
    assert all("DTSTAMP" in one for one in events)
    assert str(events[0]["LOCATION"]) == PLACE


def test_moments_are_the_same_instants() -> None:
    first = Calendar.from_ical(OUT).walk("VEVENT")[0]
    assert first["DTSTART"].dt == at(9).astimezone(UTC)
    assert first["DTEND"].dt == at(10).astimezone(UTC)


def test_a_lunch_is_no_event() -> None:
    out = day_calendar(day(route(stop(), stop(kind="lunch", site_id=0, site=""))))
    assert len(Calendar.from_ical(out).walk("VEVENT")) == 1


def test_the_same_visit_keeps_its_uid_when_its_hour_changes() -> None:
    first, second = (
        Calendar.from_ical(day_calendar(day(route(stop("A-1", hour))))).walk("VEVENT")[0]["UID"]
        for hour in (9, 13)
    )
    assert first == second
