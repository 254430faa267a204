"""The walk from the road's end is a part of a visit's minutes, and is said."""

from datetime import date

import pytest

from registry.plan.walk import LABEL, walk_s, with_walks
from registry.records.places import LonLat
from registry.records.visits import DueVisit


def due_visit(**fields):
    return DueVisit(
        **{
            "site_id": 1,
            "site_key": "A-1",
            "lon_lat": None,
            "tasks": ("inspection",),
            "service_min": 40.0,
            "due_on": date(2026, 6, 15),
            "days_overdue": 0,
            "worth_s": 100.0,
        }
        | fields
    )


@pytest.mark.parametrize(
    ("snap_m", "noted_ft", "seconds"),
    [
        (0.0, None, 0.0),
        (30.0, None, 0.0),
        (30.0 + 1609.344, None, 2 * 1200.0),
        (0.0, 5280.0, 2 * 1200.0),
        (500.0, 0.0, 0.0),
    ],
)
def test_a_mile_is_walked_in_twenty_minutes_there_and_twenty_back(snap_m, noted_ft, seconds):
    """3 mph; common practice, no source. A mile is 1,609.344 m, 5,280 ft."""
    assert walk_s(snap_m, noted_ft) == pytest.approx(seconds)


def test_a_visit_says_how_long_its_walk_is_and_why():
    near, far, noted, nowhere = (
        due_visit(lon_lat=LonLat(0, 0)),
        due_visit(lon_lat=LonLat(1, 1)),
        due_visit(lon_lat=LonLat(0, 0), walk_ft=528.0),
        due_visit(lon_lat=None),
    )
    there = [LonLat(0, 0), LonLat(1, 1)]
    found = with_walks([near, far, noted, nowhere], there, [12.0, 30.0 + 160.9344])
    assert found[0] == near
    assert found[3] == nowhere
    for before, after, word in ((far, found[1], "nearest road"), (noted, found[2], "access note")):
        assert after.walk_min == pytest.approx(4.0)
        assert after.service_min == before.service_min + 4.0
        assert after.minutes_trace[-1].label == LABEL
        assert word in after.minutes_trace[-1].source
        assert "common practice, no source" in after.minutes_trace[-1].source
