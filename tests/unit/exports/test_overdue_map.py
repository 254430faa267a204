"""Overdue systems in one file: lids where there are few, rings where there are many."""

from datetime import date, timedelta

from lxml import html

from registry.exports.overdue_map import MOST_LIDS, MOST_ROWS, overdue_map
from registry.records.due_rows import DueMark
from registry.records.places import LonLat
from tests.unit.exports.test_day_map import NASTY, loads

ON = date(2026, 6, 15)
TASKS = {"inspection": "System inspection"}


def mark(number: int, **fields: object) -> DueMark:
    """A mound that is overdue by its number of days."""
    return DueMark(
        **{
            "system_id": number,
            "site_id": number,
            "site": f"S-{number}",
            "lon_lat": LonLat(-140.0 - number / 1e4, 45.0),
            "kind": "mound",
            "task": "inspection",
            "due_on": ON - timedelta(days=number),
            "days_overdue": number,
            "overdue": True,
            "share_passed": 1 + number / 365,
            "jurisdiction_id": 1,
            "in_hazard_area": True,
            "below_bfe": False,
        }
        | fields
    )


def drawn(marks: list[DueMark]) -> str:
    return overdue_map(marks, ON, TASKS, "Invented roads")


def test_few_systems_are_lids_and_many_are_rings() -> None:
    few, many = drawn([mark(1)]), drawn([mark(n) for n in range(MOST_LIDS + 1)])
    assert ("L.divIcon" in few, "L.divIcon" in many) == (True, False)
    assert "Not a flood determination." in few
    assert "Not a flood determination." in many


def test_the_list_names_the_longest_overdue_and_says_how_many_more_there_are() -> None:
    page = html.fromstring(drawn([mark(n) for n in range(1, MOST_ROWS + 4)]))
    rows = page.xpath("//main//tbody/tr")
    assert len(rows) == MOST_ROWS
    assert [cell.text for cell in rows[0]] == [
        *("S-1", "mound", "System inspection", "2026-06-14", "1", "yes"),
    ]
    assert "3 more are on the map" in page.xpath("string(//main)")


def test_the_file_loads_nothing_and_names_stay_text() -> None:
    out = drawn([mark(1, site=NASTY)])
    assert loads(out) == []
    assert NASTY not in out


def test_a_system_that_is_still_to_be_located_is_in_the_list() -> None:
    page = html.fromstring(drawn([mark(1, lon_lat=None)]))
    assert "S-1" in page.xpath("string(//main)")
    assert "1 overdue system," in page.xpath("string(//h1)")
