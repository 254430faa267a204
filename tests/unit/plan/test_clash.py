"""Holds that clash: the smallest set, found exactly and told in words."""

from dataclasses import replace
from itertools import permutations

import pytest

from registry.plan.clash import can_all_be_made, clash_of, clash_words, clashes
from registry.plan.fits_together import MOST_VISITS, fit_together
from registry.plan.shortfall import short_s
from registry.plan.why import why_not
from tests.days import HOUR, MIN, on_a_line, random_day, route, technician, visit

ROAD = [0, 10, 20, 30]


def held(name, place, opens, closes, **fields):
    return visit(name, place, windows=((opens, closes),), required=True, **fields)


@pytest.mark.parametrize("seed", range(60))
def test_visits_fit_together_exactly_where_some_order_of_them_holds(seed):
    """Held to trying every order with the clock of a route; tanks are left out on both sides."""
    day = random_day(seed, visits=4)
    crew = tuple(replace(who, tank_gal=None) for who in day.technicians)
    day = replace(day, technicians=crew)
    for k in range(len(crew)):
        for some in [(0, 1), (0, 1, 2), (1, 2, 3), (0, 1, 2, 3)]:
            holds = all(day.may_make(k, i) for i in some) and any(
                short_s(day, k, route(*order)) == 0 for order in permutations(some)
            )
            assert fit_together(day, k, some) == holds


def test_two_promises_at_one_hour_clash_for_one_technician():
    visits = [
        held("A", 1, 9 * HOUR, 9 * HOUR + 15 * MIN),
        held("B", 3, 9 * HOUR, 9 * HOUR + 15 * MIN),
        held("C", 2, 12 * HOUR, 13 * HOUR),
    ]
    day = on_a_line(ROAD, visits)
    assert clash_of(day, [route(1, 2)], 0) == (0, 1)
    assert clash_words(day, (0, 1)) == (
        "These holds cannot both be kept: Site A, to start 09:00–09:15; and Site B, to start"
        " 09:00–09:15. Let one of them go."
    )
    two = on_a_line(ROAD, visits, [technician(1), technician(2)])
    assert can_all_be_made(two, (0, 1, 2))
    assert clash_of(two, [route(1), route(2)], 0) is None


def test_a_hold_that_cannot_be_kept_at_all_clashes_with_none():
    day = on_a_line(ROAD, [held("A", 1, 6 * HOUR, 7 * HOUR, held_by=0)])
    assert clashes(day, [()]) == {0: (0,)}
    assert clash_words(day, (0,)) == (
        "This hold cannot be kept: Site A, held to Technician 1, to start 06:00–07:00."
        " Let it go, or hold it otherwise."
    )


def test_three_long_visits_clash_where_any_two_would_fit():
    """9 h of shift; three visits of 3 h 10 min and 60 min of driving."""
    visits = [
        visit(name, place, service_s=190 * MIN, required=True)
        for name, place in (("A", 1), ("B", 2), ("C", 3))
    ]
    day = on_a_line(ROAD, visits)
    assert clash_of(day, [route(0, 1)], 2) == (2, 0, 1)


def test_four_that_clash_are_found_by_taking_one_out_after_another():
    """Four of 2 h 10 min take 8 h 40 min, the driving an hour; a fifth is not to blame."""
    visits = [visit(name, 3, service_s=130 * MIN, required=True) for name in ("A", "B", "C", "D")]
    small = visit("E", 3, service_s=0, required=True)
    day = on_a_line(ROAD, [*visits, small])
    found = clash_of(day, [route(0, 1, 2, 4)], 3)
    assert found is not None
    assert sorted(found) == [0, 1, 2, 3]


@pytest.mark.parametrize("seed", range(25))
def test_a_clash_is_one_and_without_any_of_its_holds_it_is_none(seed):
    day = random_day(seed, visits=6)
    day = replace(day, visits=tuple(replace(one, required=True) for one in day.visits))
    routes = [route(*(i for i in range(1, 4) if day.may_make(0, i))), ()]
    found = clash_of(day, routes, 0)
    if found is None:
        return
    assert not can_all_be_made(day, found)
    for one in found[1:]:
        assert can_all_be_made(day, [other for other in found if other != one])


def test_too_many_to_look_at_are_not_looked_at():
    day = on_a_line(ROAD, [visit(str(i), 1, required=True) for i in range(MOST_VISITS + 1)])
    with pytest.raises(ValueError, match="too many"):
        fit_together(day, 0, tuple(range(MOST_VISITS + 1)))


def test_why_a_held_visit_waits_names_the_clash():
    visits = [
        held("A", 1, 9 * HOUR, 9 * HOUR + 15 * MIN),
        held("B", 3, 9 * HOUR, 9 * HOUR + 15 * MIN),
    ]
    out = why_not(on_a_line(ROAD, visits), [route(1)], 0)
    assert "These holds cannot both be kept: Site A" in out.why
