"""Ordering again what is open while the day runs: from where everybody is, what is done stays.

The line: the yard at 0, places 10 to 50 min away, each stop half an hour. Technician 1 is at site 1
8:10 to 8:40, at site 2 8:50 to 9:20, at site 3 9:30 to 10:00; technician 2 has sites 4 and 5.
"""

from dataclasses import replace

import pytest

from registry.plan.check import check
from registry.plan.day import planned_day
from registry.plan.day_changes import moves_between
from registry.plan.day_extras import KEPT_FREE
from registry.plan.problem import ANYWHERE, UNREACHABLE_S, DayFill, Link
from registry.plan.reorder import open_day, unpriced
from registry.plan.rest_of_day import whole_day
from registry.plan.running import where_all_are
from registry.plan.shortfall import short_s
from registry.records.day_notes import NoteKind
from registry.solvers.linked import LinkedSolver
from registry.solvers.repair import Repairer
from registry.solvers.ruin_recreate import RuinRecreateSolver
from tests.days import HOUR, LUNCH, MIN, on_a_line, route, visit
from tests.running import PLACES, at_hand, kept, records_of, said, site, worker

LINE = [0, 10, 20, 30, 40, 50]
CREW = [worker(1), worker(2)]
SITES = [site(number, number) for number in range(1, 6)]
PROBLEM = on_a_line(LINE, SITES, CREW)
DAY = kept(PROBLEM, route(0, 1, 2), route(3, 4))


def at(hour, minute=0):
    return hour * HOUR + minute * MIN


def reordered(day, problem, now_s, *notes, price_s=3 * HOUR, rounds=1_000):
    """The open part as a problem, and the whole day told, after checking."""
    standings = where_all_are(day, notes, now_s)
    open_ = open_day(at_hand(problem, day), day, standings, notes, PLACES, now_s, price_s)
    found = Repairer().repair(open_.problem, open_.routes, appointed=open_.appointed, rounds=rounds)
    check(open_.problem, found.routes, appointed=found.appointed, required_may_wait=True)
    records = records_of(problem)
    rest = planned_day(unpriced(open_.problem), found, records)
    return open_, whole_day(open_, rest, notes, records)


def sites_of(day):
    return {
        route.technician_id: [stop.site for stop in route.stops if stop.kind == "visit"]
        for route in day.routes
    }


def test_a_day_that_goes_by_the_plan_stays_as_it_is():
    for now_s in (at(7), at(8, 20), at(8, 40), at(9, 50), at(12)):
        _, day = reordered(DAY, PROBLEM, now_s)
        assert moves_between(DAY, day) == ()
        assert sites_of(day) == sites_of(DAY)
        assert [one.drive_s for one in day.routes] == [one.drive_s for one in DAY.routes]
        assert [one.returns for one in day.routes] == [one.returns for one in DAY.routes]


def test_what_is_done_keeps_its_moments_and_the_rest_starts_from_there():
    open_, day = reordered(DAY, PROBLEM, at(9, 20))
    one, two = open_.problem.technicians
    assert (one.start_place, one.shift_from_s) == (2, at(9, 20))
    # technician 2 left site 4 at 9:10 and is under way to site 5, where work ends at 9:50
    assert (two.start_place, two.shift_from_s) == (5, at(9, 50))
    assert day.routes[0].stops[:2] == DAY.routes[0].stops[:2]
    assert [one.id for one in open_.problem.visits] == ["3"]


def test_a_locked_gate_is_left_and_waits_while_the_rest_goes_on():
    note = said(NoteKind.NOT_REACHED, 8, 50, site_id=2, text="Chain on the gate.")
    _, day = reordered(DAY, PROBLEM, at(8, 50), note)
    assert sites_of(day)[1] == ["S-1", "S-3"]
    assert [stop.kind for stop in day.routes[0].stops] == ["visit", "missed", "visit"]
    third = day.routes[0].stops[2]
    assert (third.starts.hour, third.starts.minute) == (9, 0)
    (waits,) = day.waiting
    assert (waits.site, waits.why_word) == ("S-2", "not_reached")
    assert waits.why == "Not reached at 08:50. Chain on the gate."


def test_the_sites_of_who_goes_home_go_to_the_others():
    note = said(NoteKind.GONE_HOME, 8, 40, technician_id=1)
    _, day = reordered(DAY, PROBLEM, at(8, 40), note)
    assert sites_of(day) == {1: ["S-1"], 2: ["S-4", "S-5", "S-3", "S-2"]}
    home = day.routes[0]
    assert (home.returns.hour, home.returns.minute) == (8, 50)
    assert home.drive_s == 20 * MIN


def test_an_alarm_call_is_fitted_in_by_the_hours_promised_and_the_free_slot_goes_to_it():
    slot = visit(KEPT_FREE, ANYWHERE, windows=((0, at(12)),), service_s=HOUR, required=True)
    before = on_a_line(LINE, [*SITES, slot], CREW)
    plan = LinkedSolver(RuinRecreateSolver()).solve(before, rounds=1_000)
    day = kept(before, *plan.routes, appointed=plan.appointed)
    call = site(9, 1, windows=((at(9, 30), at(10)),), required=True)
    now = on_a_line(LINE, [*SITES, call, slot], CREW)
    note = said(NoteKind.CALL, 8, 30, site_id=9, from_min=570, to_min=600)
    _, after = reordered(day, now, at(8, 30), note)
    stops = {stop.site: stop for one in after.routes for stop in one.stops}
    assert at(9, 30) <= stops["S-9"].starts.hour * HOUR + stops["S-9"].starts.minute * MIN <= at(10)
    assert not any(stop.kind == "free" for one in after.routes for stop in one.stops)
    assert after.waiting == ()


@pytest.mark.parametrize(("price_s", "moved"), [(0, True), (3 * HOUR, False)])
def test_a_visit_changes_hands_only_where_that_is_worth_its_price(price_s, moved):
    """Site 4 lies on technician 2's way, so that giving it over saves technician 1 20 min."""
    day = kept(PROBLEM, route(0, 1, 2, 3), route(4))
    _, after = reordered(day, PROBLEM, at(7), price_s=price_s)
    changed = [one for one in moves_between(day, after) if one.before and one.after
               and one.before.technician_id != one.after.technician_id]  # fmt: skip
    assert bool(changed) == moved


def test_tanks_driving_and_lunch_count_from_what_is_gone():
    crew = [
        worker(
            1, tank_gal=100.0, room_gal=1000.0, most_drive_s=2 * HOUR, even_s=3 * HOUR, lunch=LUNCH
        )
    ]
    sites = [
        site(1, 1, water_gal=30.0, septage_gal=600.0),
        site(2, 2, water_gal=40.0),
        site(3, 3, service_s=150 * MIN),
    ]
    problem = on_a_line(LINE, sites, crew)
    day = kept(problem, route(0, 1, 2))
    open_, _ = reordered(day, problem, at(9, 20))
    (who,) = open_.problem.technicians
    assert (who.water_used_gal, who.septage_gal) == (70.0, 600.0)
    assert who.most_drive_s == 2 * HOUR - 20 * MIN
    assert who.even_s == 3 * HOUR - 20 * MIN - HOUR
    assert who.lunch == LUNCH
    later, whole = reordered(day, problem, at(12, 10))
    assert later.problem.technicians[0].lunch is None
    assert sum(stop.kind == "lunch" for stop in whole.routes[0].stops) == 1


def test_a_fill_behind_is_not_made_again():
    fill = DayFill(id="0", name="Hydrant", place=1, service_s=10 * MIN)
    sites = [site(number, number, water_gal=80.0) for number in (1, 2)]
    problem = on_a_line(LINE, sites, [worker(1, tank_gal=100.0)], [fill])
    day = kept(problem, route(0, "f0", 1))
    open_, _ = reordered(day, problem, at(8, 50))
    assert open_.problem.technicians[0].water_used_gal == 0.0
    assert open_.routes == (route(0),)
    early, _ = reordered(day, problem, at(8, 10))
    assert early.problem.technicians[0].water_used_gal == 80.0
    assert early.routes == (route("f0", 0),)


def test_a_visit_after_one_that_is_under_way_starts_once_that_is_over():
    problem = replace(PROBLEM, links=(Link(first=0, then=3),))
    day = kept(problem, route(0, 1, 2), route(4, 3))
    note = said(NoteKind.ON_SITE, 9, 0, site_id=1)
    open_, _ = reordered(day, problem, at(9, 15), note)
    then = next(one for one in open_.problem.visits if one.id == "4")
    assert open_.problem.links == ()
    assert then.windows[0][0] == at(9, 30)


def test_promised_hours_are_kept_though_somebody_is_late():
    promised = replace(SITES[2], windows=((at(9, 30), at(9, 45)),), required=True)
    problem = replace(PROBLEM, visits=(*SITES[:2], promised, *SITES[3:]))
    note = said(NoteKind.LATE, 8, 0, technician_id=1, minutes=40)
    _, day = reordered(DAY, problem, at(8, 0), note)
    stop = next(stop for one in day.routes for stop in one.stops if stop.site == "S-3")
    assert (9, 30) <= (stop.starts.hour, stop.starts.minute) <= (9, 45)


@pytest.mark.parametrize("seed", range(15))
def test_random_days_are_ordered_again_at_any_hour_and_hold(seed):
    """Nothing is lost or told twice, done stops stay, and the open part passes the check."""
    from numpy.random import default_rng

    chance = default_rng([23, seed])
    sites = [
        site(number, int(chance.integers(1, 6)), worth_s=int(chance.integers(1200, 9000)))
        for number in range(1, 9)
    ]
    crew = [worker(1, shift_to_s=at(12)), worker(2, shift_to_s=at(13), lunch=LUNCH)]
    problem = on_a_line(LINE, sites, crew)
    plan = RuinRecreateSolver().solve(problem, rounds=500)
    assert all(short_s(problem, k, calls) == 0 for k, calls in enumerate(plan.routes))
    day = kept(problem, *plan.routes)
    now_s = int(chance.integers(8, 12)) * HOUR + int(chance.integers(0, 60)) * MIN
    first = next((one.visits[0].site_id for one in day.routes if one.visits), 1)
    notes = [
        [],
        [said(NoteKind.NOT_REACHED, now_s // HOUR, now_s % HOUR // MIN, site_id=first)],
        [said(NoteKind.LATE, 8, 0, technician_id=2, minutes=25)],
        [said(NoteKind.GONE_HOME, now_s // HOUR, now_s % HOUR // MIN, technician_id=1)],
    ][seed % 4]
    open_, after = reordered(day, problem, now_s, *notes, rounds=300)
    told = [stop.site_id for one in after.routes for stop in one.visits]
    told += [one.site_id for one in after.waiting]
    assert sorted(told) == list(range(1, 9))
    missed = {one.site_id for one in notes if one.kind is NoteKind.NOT_REACHED}
    for standing in open_.standings:
        if standing is None or not standing.fixed:
            continue
        mine = next(
            one for one in after.routes if one.technician_id == standing.route.technician_id
        )
        for was, now in zip(standing.done, mine.stops, strict=False):
            assert was == now or was.site_id in missed


@pytest.mark.parametrize(("price_s", "kept_on"), [(0, False), (600, True)])
def test_a_visit_is_not_dropped_for_one_that_is_worth_little_more(price_s, kept_on):
    """There is time for one of two sites at one gate; the one that waits is worth 5 min more."""
    sites = [site(1, 1, worth_s=HOUR), site(2, 1, worth_s=HOUR + 5 * MIN)]
    problem = on_a_line(LINE, sites, [worker(1, shift_to_s=at(8, 55))])
    day = kept(problem, route(0))
    _, after = reordered(day, problem, at(7), price_s=price_s)
    assert sites_of(after)[1] == (["S-1"] if kept_on else ["S-2"])
    assert after.cost == 20 * MIN + (HOUR + 5 * MIN if kept_on else HOUR)


def test_who_is_cut_off_by_a_closed_road_is_told_no_made_up_way_home():
    """The road between places 1 and 2 closes while technician 1 is at site 2."""
    cut = PROBLEM.travel_s.copy()
    cut[2:, :2] = cut[:2, 2:] = UNREACHABLE_S
    closed = replace(PROBLEM, travel_s=cut)
    _, day = reordered(DAY, closed, at(9, 0))
    mine = day.routes[0]
    assert [stop.site for stop in mine.stops] == ["S-1", "S-2"]
    assert mine.returns == DAY.routes[0].returns
    assert {one.site: one.why_word for one in day.waiting} == {
        "S-3": "unreachable",
        "S-5": "unreachable",
    }
