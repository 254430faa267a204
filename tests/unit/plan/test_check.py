"""The independent check refuses every kind of broken plan and names what breaks."""

from dataclasses import replace

import pytest

from registry.errors import PlanError
from registry.plan.check import BreachKind, breaches, check
from registry.plan.cost import cost_of
from registry.plan.problem import Call
from tests.days import MIN, named_days, on_a_line, route, technician, visit

PLAIN = on_a_line([0, 10, 20], [visit("A", 1), visit("B", 2)])


def test_a_good_plan_passes_with_its_totals():
    totals = check(PLAIN, [route(0)], cost=20 * MIN + 3 * 3600)
    assert totals.drive_s == 20 * MIN
    assert totals.drive_m == 20 * MIN * 15
    assert totals.waiting_worth_s == 3 * 3600
    assert totals.served == 1
    assert totals.cost == cost_of(PLAIN, (route(0),))


@pytest.mark.parametrize(
    "day", [day for day in named_days() if day.breach is not None], ids=lambda day: day.name
)
def test_each_kind_of_broken_plan_is_named(day):
    with pytest.raises(PlanError) as refused:
        check(day.problem, day.blind)
    found = [one for one in breaches(day.problem, day.blind) if one.kind is day.breach]
    assert found
    assert all(one.text in str(refused.value) for one in found)


@pytest.mark.parametrize(
    ("routes", "kind", "says"),
    [
        ([route(0, 1), ()], BreachKind.ROUTES, "2 routes for 1 technicians"),
        ([route(0, 1, 0)], BreachKind.TWICE, "Site A is visited by Technician 1 and again"),
        ([route(7)], BreachKind.UNKNOWN, "there is no"),
        ([(Call(0, is_fill=True),)], BreachKind.UNKNOWN, "there is no"),
    ],
)
def test_plans_that_make_no_sense_are_refused(routes, kind, says):
    assert [one.kind for one in breaches(PLAIN, routes)] == [kind]
    with pytest.raises(PlanError, match=says):
        check(PLAIN, routes)


def test_one_visit_on_two_routes_is_refused():
    two = replace(PLAIN, technicians=(technician(1), technician(2)))
    assert [one.kind for one in breaches(two, [route(0), route(0)])] == [BreachKind.TWICE]


def test_a_false_cost_is_refused():
    with pytest.raises(PlanError, match="claims to cost 1 s"):
        check(PLAIN, [route(0, 1)], cost=1)


def test_a_hold_that_cannot_be_kept_may_wait_if_said_so():
    held = on_a_line([0, 10], [visit("A", 1, required=True)])
    with pytest.raises(PlanError, match="must be made"):
        check(held, [()])
    assert check(held, [()], required_may_wait=True).served == 0


def test_all_breaches_are_told_at_once():
    bad = on_a_line(
        [0, 10, 20],
        [visit("A", 1, skills=frozenset({"pump"})), visit("B", 2, people=2)],
    )
    with pytest.raises(PlanError) as refused:
        check(bad, [route(0, 1)])
    assert "pump" in str(refused.value)
    assert "2 people" in str(refused.value)
