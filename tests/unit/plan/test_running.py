"""Where everybody is on a day that runs; times worked by hand.

The line: the yard at 0, places 10, 20 and 30 min away; each stop is half an hour. Technician 1 is
at site 1 8:10 to 8:40, at site 2 8:50 to 9:20, at site 3 9:30 to 10:00, back at 10:30.
"""

from dataclasses import replace

import pytest

from registry.plan.running import where_all_are
from registry.records.day_notes import NoteKind
from tests.days import HOUR, LUNCH, MIN, on_a_line, route
from tests.running import kept, said, site, worker

SITES = [site(1, 1), site(2, 2), site(3, 3)]
PROBLEM = on_a_line([0, 10, 20, 30], SITES, [worker(1)])
DAY = kept(PROBLEM, route(0, 1, 2))


def at(hour, minute=0):
    return hour * HOUR + minute * MIN


def standing(now_s, *notes, day=DAY):
    (one,) = where_all_are(day, notes, now_s)
    return one


@pytest.mark.parametrize(
    ("now_s", "fixed", "free_s"),
    [
        (at(7), 0, at(8)),  # not begun
        (at(8), 0, at(8)),  # about to leave
        (at(8, 5), 1, at(8, 40)),  # under way to the first gate
        (at(8, 20), 1, at(8, 40)),  # at work there
        (at(8, 40), 1, at(8, 40)),  # done, not left yet
        (at(8, 45), 2, at(9, 20)),  # under way to the second
        (at(9, 50), 3, at(10)),
        (at(10, 20), 3, at(10, 20)),  # on the way home
    ],
)
def test_without_notes_the_plan_is_taken_to_hold(now_s, fixed, free_s):
    one = standing(now_s)
    assert (one.fixed, one.free_s, one.noted) == (fixed, free_s, False)


def test_who_is_done_early_is_free_at_once():
    one = standing(at(8, 30), said(NoteKind.DONE, 8, 30, site_id=1))
    assert (one.fixed, one.free_s, one.late_s, one.noted) == (1, at(8, 30), -10 * MIN, True)


def test_who_is_done_late_carries_the_lateness_on():
    note = said(NoteKind.DONE, 9, 5, site_id=1)
    assert standing(at(9, 5), note).late_s == 25 * MIN
    later = standing(at(9, 40), note)  # at site 2 from 9:15 to 9:45
    assert (later.fixed, later.free_s) == (2, at(9, 45))


def test_who_is_on_site_is_free_once_the_work_is_over():
    one = standing(at(9, 15), said(NoteKind.ON_SITE, 9, 10, site_id=2))
    assert (one.fixed, one.free_s, one.late_s) == (2, at(9, 40), 20 * MIN)
    overdue = standing(at(9, 35), said(NoteKind.ON_SITE, 9, 0, site_id=2))
    assert (overdue.fixed, overdue.free_s) == (3, at(10, 10))


def test_whoever_comes_before_the_gate_opens_waits():
    problem = on_a_line([0, 10], [site(1, 1, windows=((at(9), at(10)),))], [worker(1)])
    day = kept(problem, route(0))
    one = standing(at(8, 50), said(NoteKind.ON_SITE, 8, 45, site_id=1), day=day)
    assert one.free_s == at(9, 30)


def test_a_locked_gate_leaves_the_technician_free_there():
    one = standing(at(8, 15), said(NoteKind.NOT_REACHED, 8, 15, site_id=1))
    assert (one.fixed, one.free_s) == (1, at(8, 15))
    assert [stop.site for stop in one.open] == ["S-2", "S-3"]


def test_a_note_of_a_later_stop_settles_those_before_it():
    one = standing(at(9, 25), said(NoteKind.DONE, 9, 25, site_id=2))
    assert [stop.site for stop in one.done] == ["S-1", "S-2"]
    assert one.free_s == at(9, 25)


def test_lateness_said_by_the_minute_shifts_what_follows():
    note = said(NoteKind.LATE, 8, 0, technician_id=1, minutes=30)
    assert standing(at(8, 20), note).fixed == 0
    one = standing(at(8, 35), note)
    assert (one.fixed, one.free_s) == (1, at(9, 10))


def test_waiting_at_a_gate_makes_lateness_good():
    sites = [site(1, 1, windows=((at(9), at(11)),)), site(2, 2)]
    day = kept(on_a_line([0, 10, 20], sites, [worker(1)]), route(0, 1))
    plan = day.routes[0]
    assert plan.leaves.hour == 8  # leaves at 8:50 so as not to stand before the gate
    early = replace(plan, leaves=plan.leaves.replace(minute=20))
    stops = (replace(plan.stops[0], arrives=plan.stops[0].starts.replace(hour=8, minute=30)),)
    day = replace(day, routes=(replace(early, stops=(*stops, *plan.stops[1:])),))
    one = standing(at(9, 35), said(NoteKind.LATE, 8, 0, technician_id=1, minutes=30), day=day)
    assert (one.fixed, one.late_s) == (2, 0)


def test_who_goes_home_leaves_what_is_not_over():
    one = standing(at(9, 10), said(NoteKind.GONE_HOME, 9, 0, technician_id=1))
    assert one.gone_home
    assert [stop.site for stop in one.done] == ["S-1"]


def test_a_note_for_later_and_one_of_somebody_else_do_not_count_yet():
    notes = [
        said(NoteKind.DONE, 11, 0, site_id=2),
        said(NoteKind.GONE_HOME, 8, 0, technician_id=2),
        said(NoteKind.LATE, 8, 0, technician_id=2, minutes=50),
    ]
    assert standing(at(8, 20), *notes) == standing(at(8, 20))


def test_lunch_that_has_begun_is_not_ordered_again():
    sites = [site(1, 1, service_s=3 * HOUR), site(2, 2, service_s=3 * HOUR)]
    problem = on_a_line([0, 10, 20], sites, [worker(1, lunch=LUNCH)])
    day = kept(problem, route(0, 1))
    assert [stop.kind for stop in day.routes[0].stops] == ["visit", "lunch", "visit"]
    # site 1 until 11:10, drive, lunch at the gate of site 2 from 11:20 to 11:50
    before, during = standing(at(11, 10), day=day), standing(at(11, 15), day=day)
    assert (before.has_lunch_behind, before.fixed) == (False, 1)
    assert (during.has_lunch_behind, during.fixed, during.free_s) == (True, 3, at(14, 50))
