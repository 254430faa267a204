"""Mending a plan that stood: held to the best plan of small days by full enumeration."""

from dataclasses import replace

import pytest

from registry.plan.breach import BreachKind
from registry.plan.check import breaches, check
from registry.plan.cost import cost_of
from registry.plan.difference import difference
from registry.plan.from_day import AtHand
from registry.plan.problem import Appointed, Call, with_appointed
from registry.plan.ways import best_way
from registry.plan.what_if import with_another_technician, with_more_hours, with_visit_put
from registry.solvers.linked import LinkedSolver
from registry.solvers.repair import Repairer
from registry.solvers.ruin_recreate import RuinRecreateSolver
from tests.days import (
    HOUR,
    MIN,
    best_cost,
    linked_days,
    on_a_line,
    random_day,
    random_full_day,
    route,
    technician,
    visit,
)

ROUNDS = 2_000


def mended(plan, rounds=ROUNDS):
    found = Repairer().repair(plan.problem, plan.routes, appointed=plan.appointed, rounds=rounds)
    check(plan.problem, found.routes, appointed=found.appointed, required_may_wait=True)
    return found


def as_good_as_the_best(plan):
    """Whether a mended plan costs what the best one does; cheaper only by a second stop at a fill,
    which the enumeration leaves out."""
    routes = mended(plan).routes
    cost, best = cost_of(plan.problem, routes), best_cost(plan.problem)
    fills = [sum(call == Call(0, is_fill=True) for call in calls) for calls in routes]
    return cost == best or (cost < best and max(fills) > 1)


def solved(problem):
    found = RuinRecreateSolver().solve(problem, rounds=ROUNDS)
    return AtHand(problem=problem, routes=found.routes)


@pytest.mark.parametrize("seed", range(25))
def test_a_plan_put_on_other_hours_is_as_good_as_one_made_from_nothing(seed):
    plan = with_more_hours(solved(random_day(seed)), 0, 90 * MIN)
    assert as_good_as_the_best(plan)


@pytest.mark.parametrize("seed", range(10))
def test_shorter_hours_are_kept_and_the_rest_is_as_good_as_can_be(seed):
    plan = with_more_hours(solved(random_full_day(seed)), 1, -2 * HOUR)
    assert as_good_as_the_best(plan)


@pytest.mark.parametrize("seed", range(12))
def test_one_technician_more_is_used_as_well_as_can_be(seed):
    plan = with_another_technician(solved(random_full_day(seed)), 0)
    assert as_good_as_the_best(plan)


@pytest.mark.parametrize("seed", range(25))
def test_a_visit_put_on_a_route_is_never_dearer_than_by_plain_insertion(seed):
    stood = solved(random_day(seed))
    for number in range(len(stood.problem.visits)):
        for k in range(len(stood.problem.technicians)):
            if not stood.problem.may_make(k, number):
                continue
            without = tuple(
                tuple(call for call in calls if call != Call(number)) for calls in stood.routes
            )
            way = best_way(stood.problem, k, without[k], number)
            if not way.fits:
                continue
            plan = with_visit_put(stood, number, k)
            plainly = (*without[:k], way.calls, *without[k + 1 :])
            found = mended(plan, 300)
            assert Call(number) in found.routes[k]
            assert cost_of(plan.problem, found.routes) <= cost_of(plan.problem, plainly)


@pytest.mark.parametrize("seed", range(8))
def test_a_visit_put_on_a_route_costs_what_the_best_plan_with_it_there_costs(seed):
    stood = solved(random_day(seed))
    for k in range(2):
        if stood.problem.may_make(k, 0) and best_way(stood.problem, k, (), 0).fits:
            plan = with_visit_put(stood, 0, k)
            assert as_good_as_the_best(plan)


def test_a_plan_that_is_the_best_stays_as_it_is():
    day = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])
    plan = AtHand(problem=day, routes=(route(0, 1),))
    what = difference(plan, day, mended(plan))
    assert (what.drive_s, what.cost_s, what.made, what.waits) == (0, 0, (), ())


@pytest.mark.parametrize("day", linked_days(), ids=lambda one: one.name)
def test_linked_visits_keep_their_moments_while_something_else_changes(day):
    first = LinkedSolver(RuinRecreateSolver()).solve(day.problem, rounds=ROUNDS)
    extra = visit("extra", 0, service_s=15 * MIN, worth_s=MIN)
    more = replace(day.problem, visits=(*day.problem.visits, extra))
    found = Repairer().repair(more, first.routes, appointed=first.appointed, rounds=ROUNDS)
    check(more, found.routes, appointed=found.appointed)
    before = {one.visit: one for one in first.appointed}
    assert {one.visit: one for one in found.appointed} == before
    then = with_appointed(more, found.appointed)
    assert cost_of(then, found.routes) <= day.best + extra.worth_s


def test_two_technicians_at_once_meet_anew_when_one_of_them_goes_home():
    crew = [technician(1), technician(2), technician(3)]
    visits = [visit("A", 1), visit("A2", 1)]
    day = next(one for one in linked_days() if one.name == "two technicians at once").problem
    three = replace(
        on_a_line([0, 10, 20], visits, crew), links=(replace(day.links[0], first=0, then=1),)
    )
    nine = (9 * HOUR, 9 * HOUR)
    gone = replace(three, visits=(replace(visits[0], ruled_out=frozenset({0})), replace(visits[1])))
    gone = replace(gone, technicians=(replace(crew[0], shift_to_s=8 * HOUR), *crew[1:]))
    found = Repairer().repair(
        gone,
        (route(0), route(1), ()),
        appointed=(Appointed(0, *nine), Appointed(1, *nine)),
        rounds=ROUNDS,
    )
    check(gone, found.routes, appointed=found.appointed)
    assert found.routes[0] == ()
    assert found.routes[1]
    assert found.routes[2]


def test_what_does_not_hold_any_more_is_taken_off_and_the_rest_is_made():
    """8:00 to 17:00 for B alone 8 h 20 min and A; the shift now ends at 9:00."""
    day = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2, service_s=7 * HOUR)])
    plan = with_more_hours(AtHand(problem=day, routes=(route(0, 1),)), 0, -8 * HOUR)
    assert breaches(plan.problem, plan.routes)[0].kind is BreachKind.SHIFT
    found = mended(plan)
    assert found.routes == (route(0),)
    what = difference(AtHand(problem=day, routes=(route(0, 1),)), plan.problem, found)
    assert (what.waits, what.made, what.drive_s) == (("Site B",), (), -20 * MIN)
    assert what.cost_s == 3 * HOUR - 20 * MIN
    ((before, after),) = what.routes
    # before: 40 min of driving, 7 h 30 min of work; after: 20 min and half an hour
    assert (before.returns_s, after.returns_s) == (
        16 * HOUR + 10 * MIN,
        8 * HOUR + 50 * MIN,
    )


def test_the_same_rounds_give_the_same_answer():
    plan = with_more_hours(solved(random_day(3)), 0, HOUR)
    assert mended(plan).routes == mended(plan).routes
