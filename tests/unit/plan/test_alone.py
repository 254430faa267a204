"""Who works alone and is not heard of; times worked by hand.

The line: the yard at 0, places 10, 20 and 30 min away; each stop is half an hour. Technician 1 is
at site 1 8:10 to 8:40, at site 2 8:50 to 9:20, at site 3 9:30 to 10:00. The margin of half an hour
is common practice, no source.
"""

import pytest

from registry.plan.alone import silences
from registry.records.day_notes import NoteKind
from registry.units import MIN_PER_DAY
from tests.days import on_a_line, route
from tests.running import kept, said, site, worker

SITES = [site(1, 1), site(2, 2), site(3, 3)]
DAY = kept(on_a_line([0, 10, 20, 30], SITES, [worker(1)]), route(0, 1, 2))
CAME = said(NoteKind.ON_SITE, 8, 12, id=1, technician_id=1, site_id=1)
LEFT = said(NoteKind.LEFT, 9, 30, id=2, technician_id=1, site_id=1)


def at(hour, minute=0):
    return 60 * hour + minute


def warned(now_min, *notes, day=DAY, crews=(), margin_min=30):
    return [
        (one.site_id, one.on_site, one.since_min, one.expected_min)
        for one in silences(day, notes, crews, margin_min, now_min)
    ]


@pytest.mark.parametrize(
    ("now_min", "notes", "expected"),
    [
        (at(8, 40), (), []),  # was to be there at 8:10, the margin ends at 8:40
        (at(8, 41), (), [(1, False, None, at(8, 10))]),
        (at(9, 12), (CAME,), []),  # 8:12 and half an hour and the margin
        (at(9, 13), (CAME,), [(1, True, at(8, 12), at(8, 42))]),
        (at(9, 31), (CAME, LEFT), []),  # 50 min late, so the next one is due at 9:40
        (at(10, 11), (CAME, LEFT), [(2, False, at(9, 30), at(9, 40))]),
        (at(8, 41), (said(NoteKind.LATE, 8, 5, technician_id=1, minutes=15),), []),
    ],
)
def test_who_is_over_the_planned_time_and_the_margin_is_told(now_min, notes, expected):
    assert warned(now_min, *notes) == expected


def test_who_was_heard_of_is_told_again_only_after_another_margin():
    heard = said(NoteKind.HEARD, 9, 15, id=3, technician_id=1, text="by radio")
    assert warned(at(9, 20), CAME, heard) == []
    assert warned(at(9, 46), CAME, heard) == [(1, True, at(8, 12), at(8, 42))]


def test_nobody_is_told_of_after_the_last_stop_or_at_home():
    done = [
        said(NoteKind.DONE, 8 + number, id=number, technician_id=1, site_id=number)
        for number in (1, 2, 3)
    ]
    assert warned(at(14), *done) == []
    assert warned(at(14), said(NoteKind.GONE_HOME, 9, technician_id=1)) == []
    assert warned(MIN_PER_DAY) == []


def test_two_people_at_one_site_and_a_crew_of_two_are_not_alone():
    both = kept(on_a_line([0, 10, 20, 30], SITES[:1], [worker(1), worker(2)]), route(0), route(0))
    assert warned(at(12), CAME, day=both) == []
    assert warned(at(12), CAME, crews={1}) == []


def test_a_margin_of_nothing_means_no_warning():
    assert warned(at(12), CAME, margin_min=0) == []


def test_a_site_that_no_plan_tells_of_counts_an_hour():
    elsewhere = said(NoteKind.ON_SITE, 8, 12, technician_id=1, site_id=77)
    assert warned(at(9, 42), elsewhere) == []
    assert warned(at(9, 43), elsewhere) == [(77, True, at(8, 12), at(9, 12))]
