"""When closed roads are open: spans worked by hand."""

from registry.plan.open_hours import OpenHours, open_hours
from registry.plan.problem import DAY_S
from tests.days import HOUR


def spans(*closures, most=8):
    """Each span as hours, with what is closed, opens and closes."""
    return {
        (one.from_s / HOUR, one.to_s / HOUR, *map(tuple, map(sorted, _sets(one))))
        for one in open_hours(
            [[(a * HOUR, b * HOUR) for a, b in closure] for closure in closures], most
        )
    }


def _sets(one: OpenHours):
    return one.closed, one.opens, one.closes


def test_a_road_is_open_before_and_after_its_hours():
    assert spans([(8, 12)]) == {(0, 8, (), (), (0,)), (12, 24, (), (0,), ())}


def test_a_road_that_is_closed_all_day_is_never_open():
    assert spans([(0, 24)]) == set()
    assert spans([(0, 24)], [(8, 12)]) == {(0, 8, (0,), (), (1,)), (12, 24, (0,), (1,), ())}


def test_a_span_lasts_as_long_as_its_road_alone_is_closed():
    # Road 0 from 8 to 12, road 1 from 10 to 14: round road 1 one may drive from 12 to midnight.
    assert spans([(8, 12)], [(10, 14)]) == {
        (0, 8, (), (), (0,)),
        (14, 24, (), (1,), ()),
        (0, 10, (0,), (), (1,)),
        (14, 24, (0,), (1,), ()),
        (0, 8, (1,), (), (0,)),
        (12, 24, (1,), (0,), ()),
    }


def test_a_river_that_takes_road_after_road_closes_them_one_by_one():
    rising = [[(hour, 24)] for hour in (9, 11, 13)]
    assert spans(*rising) == {
        (0, 9, (), (), (0,)),
        (0, 11, (0,), (), (1,)),
        (0, 13, (0, 1), (), (2,)),
    }


def test_where_there_are_too_many_sets_the_shortest_stretches_count_as_closed_throughout():
    many = [[(6 + number, 24)] for number in range(12)]
    found = open_hours([[(a * HOUR, b * HOUR) for a, b in one] for one in many], most=4)
    assert len({one.closed for one in found}) <= 4
    for one in found:
        for number, ((begins, ends),) in enumerate(many):
            meets = one.from_s < ends * HOUR and begins * HOUR < one.to_s
            assert not meets or number in one.closed
    assert max(one.to_s for one in found) <= DAY_S
