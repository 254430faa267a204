"""How hot a search starts; common practice, no source: found by trial, see docs/figures.md."""

import pytest

from registry.solvers.schedule import LARGE_PLAIN_DAY, PLAIN_DAY, SERVICE_DAY, schedule_for
from tests.days import on_a_line, technician, visit


def a_day(visits: int, *, required: bool):
    made = [visit(f"V{i}", i, required=required) for i in range(1, visits + 1)]
    crew = (technician(lunch=None, tank_gal=None),)
    return on_a_line([float(i) for i in range(visits + 1)], made, crew)


@pytest.mark.parametrize(("visits", "share"), [(20, 1.0), (60, 1.0), (120, 0.5), (240, 0.25)])
def test_a_day_with_twice_the_visits_starts_at_half_the_heat(visits, share):
    course = schedule_for(a_day(visits, required=False))
    assert course == SERVICE_DAY.begun_at(share)
    assert course.hot == share * SERVICE_DAY.hot
    assert course.hot > course.cold > 0


def test_a_day_on_which_only_the_driving_counts_starts_cooler():
    assert schedule_for(a_day(60, required=True)) == PLAIN_DAY
    assert schedule_for(a_day(200, required=True)) == LARGE_PLAIN_DAY
    assert LARGE_PLAIN_DAY.hot < PLAIN_DAY.hot < SERVICE_DAY.hot
