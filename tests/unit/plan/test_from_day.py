"""A kept day read back as a problem's routes."""

from dataclasses import replace

from registry.plan.day import day_records, planned_day
from registry.plan.from_day import from_day
from registry.plan.problem import Appointed, Call, Link, Solution
from tests.unit.plan.test_day import FILL, ROADS, ZONE
from tests.unit.plan.test_from_records import MONDAY, YARD, due, problem_of, worker

CREW = [worker(1), worker(2)]
VISITS = [due(1), due(2), due(3)]


def kept(problem, routes, appointed=(), fills=()):
    from registry.plan.from_records import day_places

    places = day_places(VISITS, CREW, fills, yard=YARD, on_date=MONDAY)
    records = day_records(MONDAY, ZONE, places, VISITS, CREW, ROADS)
    solution = Solution(routes=routes, engine="by hand", appointed=appointed)
    return planned_day(problem, solution, records)


def test_the_routes_of_a_kept_day_come_back_call_by_call():
    problem = problem_of(VISITS, CREW, [FILL])
    routes = ((Call(2), Call(0, is_fill=True), Call(0)), (Call(1),))
    found = from_day(kept(problem, routes, fills=[FILL]), problem)
    assert (found.routes, found.gone) == (routes, ())


def test_what_is_not_due_any_more_is_named_and_left_out():
    problem = problem_of(VISITS, CREW)
    day = kept(problem, ((Call(0), Call(1)), (Call(2),)))
    later = problem_of(VISITS[1:], CREW[:1])
    found = from_day(day, later)
    assert found.routes == ((Call(0),),)
    assert len(found.gone) == 2


def test_a_day_kept_before_its_stops_were_named_is_read_by_sites_and_fill_names():
    problem = problem_of(VISITS, CREW, [FILL])
    routes = ((Call(2), Call(0, is_fill=True)), (Call(1),))
    day = kept(problem, routes, fills=[FILL])
    old = replace(
        day,
        routes=tuple(
            replace(route, stops=tuple(replace(stop, visit_id="") for stop in route.stops))
            for route in day.routes
        ),
    )
    assert from_day(old, problem).routes == routes


def test_linked_visits_keep_the_windows_that_the_plan_gave_them():
    plain = problem_of(VISITS, CREW)
    linked = replace(plain, links=(Link(first=0, then=1),))
    windows = (Appointed(0, 9 * 3600, 10 * 3600), Appointed(1, 11 * 3600, 12 * 3600))
    day = kept(linked, ((Call(0),), (Call(1), Call(2))), windows)
    found = from_day(day, linked)
    assert found.appointed == windows
    assert found.fixed.visits[0].windows == ((9 * 3600, 10 * 3600),)
    assert from_day(day, plain).appointed == ()
