"""The habits that a season is compared with, and a week as a problem for the solver of days."""

from dataclasses import replace

import numpy as np
import pytest

from registry.plan.check import check
from registry.roads.straight_line import StraightLine
from registry.season.asked import Terms, Ways, fleets_of, posed
from registry.season.check import SeasonBreach, broken_limits, late_visits
from registry.season.cost import season_cost
from registry.season.generated import generated
from registry.season.habits import area_by_month, areas_of, oldest_first
from registry.season.near import plane_m
from registry.season.problem import SeasonPlan
from registry.season.week_problem import stops_of, week_places, week_problem
from registry.solvers.ruin_recreate import RuinRecreateSolver
from registry.solvers.season.solver import SeasonAnnealing

AS_FLOWN = Ways(flown_s_per_m=0.1)


def test_a_season_of_generated_systems_is_not_late_and_drives_less_than_the_oldest_first() -> None:
    """The estimate alone, on 200 invented systems; ``bench season`` orders the days of weeks."""
    asked = generated(200, seed=2)
    year = posed(asked, AS_FLOWN)
    found = SeasonAnnealing().solve(year.season, rounds=60)
    assert {one.kind for one in broken_limits(year.season, found)} <= {SeasonBreach.OVER}
    assert not late_visits(year.season, found)
    by_date = oldest_first(year.season)
    assert not {SeasonBreach.OVER, SeasonBreach.BARRED} & {
        one.kind for one in broken_limits(year.season, by_date)
    }
    each_s = [
        season_cost(year.season, one).drive_s / sum(map(len, one.weeks)) for one in (found, by_date)
    ]
    assert each_s[0] < 0.9 * each_s[1]


def test_an_area_has_its_month_each_year() -> None:
    asked = generated(240, seed=3)
    season = posed(asked, AS_FLOWN).season
    xy_m = plane_m([asked.places[one.site] for one in asked.owed])
    by_month = area_by_month(season, xy_m, in_time=False)
    in_time = area_by_month(season, xy_m, in_time=True)
    assert late_visits(season, by_month) > late_visits(season, in_time)
    counts = np.bincount(areas_of(xy_m), minlength=12)
    assert counts.max() - counts.min() <= 2


def test_a_week_of_a_season_is_ordered_by_the_solver_of_days_and_passes_its_check() -> None:
    asked = generated(120, seed=4)
    season = posed(asked, AS_FLOWN).season
    plan = oldest_first(season)
    week = max(range(52), key=lambda one: sum(one in weeks for weeks in plan.weeks))
    stops = stops_of(asked, plan, week)
    travel = StraightLine().travel_times(week_places(asked, stops))
    problem = week_problem(asked, stops, week, travel)
    solution = RuinRecreateSolver().solve(problem, rounds=50)
    assert check(problem, solution.routes).served == len(stops)


def test_jobs_of_one_site_in_one_week_are_one_stop_for_who_may_do_both() -> None:
    asked = generated(5, seed=1)
    both = tuple(
        replace(asked.owed[0], id=letter, people=frozenset(people), service_s=3000)
        for letter, people in (("a", {0, 1}), ("b", {1}), ("c", {0}))
    )
    asked = replace(asked, owed=both)
    stops = stops_of(asked, SeasonPlan(weeks=((3,), (3,), (3,))), 3)
    assert [(one.people, one.service_s) for one in stops] == [
        (frozenset({1}), 5400),
        (frozenset({0}), 3000),
    ]


def test_sets_of_people_that_share_somebody_share_their_stops() -> None:
    sets = [frozenset({0}), frozenset({1, 2}), frozenset({2, 3}), frozenset({3})]
    assert fleets_of(sets) == [0, 1, 1, 1]


def test_work_fits_for_each_set_of_people_only_if_it_does_for_every_union() -> None:
    """Hall's condition by hand: two crews of which one person serves both."""
    asked = generated(5, seed=1)
    owed = tuple(
        replace(asked.owed[0], id=str(k), people=frozenset(who))
        for k, who in enumerate(({0}, {0, 1}))
    )
    pools = posed(replace(asked, owed=owed, terms=Terms(alarm_share=0.0)), AS_FLOWN).season.pools
    assert {(pool.crews, pool.capacity_s[0]) for pool in pools} == {
        (frozenset({0}), 5 * 8 * 3600),
        (frozenset({0, 1}), 2 * 5 * 8 * 3600),
    }


def test_a_due_date_goes_before_a_barred_week() -> None:
    asked = generated(5, seed=1)
    one = replace(asked.owed[0], due_week=2, step_weeks=None, allowed=1 << 40)
    year = posed(replace(asked, owed=(one,)), AS_FLOWN)
    assert year.forced == {0}
    assert late_visits(year.season, SeasonPlan(weeks=((2,),))) == 0


def test_what_is_overdue_is_caught_up_first() -> None:
    asked = generated(5, seed=1)
    one = replace(asked.owed[0], due_week=-3, step_weeks=155, allowed=(1 << 52) - 1)
    year = posed(replace(asked, owed=(one,)), AS_FLOWN)
    found = SeasonAnnealing().solve(year.season, rounds=3)
    assert found.weeks[0][0] == 0
    assert late_visits(year.season, SeasonPlan(weeks=((9,),))) == 1


@pytest.mark.parametrize("n_systems", [1, 40])
def test_generated_systems_are_the_same_for_a_seed(n_systems: int) -> None:
    assert generated(n_systems, seed=6) == generated(n_systems, seed=6)
