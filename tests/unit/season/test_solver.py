"""The season's solver against full enumeration, the reference cost and the independent check."""

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.errors import PlanError
from registry.season.check import SeasonBreach, broken_limits
from registry.season.cost import least_drive_s, season_cost
from registry.season.problem import Season, SeasonPlan, week_set
from registry.solvers.search.chance import chance_from
from registry.solvers.season.anneal import anneal
from registry.solvers.season.flat import as_plan_weeks, first_weeks, flat
from registry.solvers.season.moves import empty_state, fill
from registry.solvers.season.solver import SeasonAnnealing
from tests.unit.season.seasons import all_plans, small_season


@pytest.mark.parametrize("seed", range(1, 6))
def test_small_seasons_come_out_as_the_best_of_all_plans(seed: int) -> None:
    """Full enumeration of some hundred plans; the search must find one that costs the same."""
    season = small_season(4, 4, seed=seed, room=1.6)
    best_s = min(season_cost(season, one).total_s for one in all_plans(season))
    found = SeasonAnnealing().solve(season, rounds=10)
    assert season_cost(season, found).total_s == pytest.approx(best_s, rel=1e-6)


@pytest.mark.parametrize("seed", range(1, 4))
def test_small_seasons_with_jobs_that_come_again_are_the_best_too(seed: int) -> None:
    """Later visits count from the ones before them: enumerated with all their chains."""
    season = small_season(3, 7, seed=seed, interval=4)
    best_s = min(season_cost(season, one).total_s for one in all_plans(season))
    found = SeasonAnnealing().solve(season, rounds=80)
    assert season_cost(season, found).total_s == pytest.approx(best_s, rel=1e-6)


@settings(max_examples=25, deadline=None)
@given(
    count=st.integers(1, 25),
    n_weeks=st.integers(2, 20),
    seed=st.integers(0, 10_000),
    interval=st.one_of(st.none(), st.integers(2, 9)),
    barred_share=st.sampled_from([0.0, 0.4, 0.9]),
)
def test_no_visit_of_a_found_season_is_late_early_or_barred(
    count: int, n_weeks: int, seed: int, interval: int | None, barred_share: float
) -> None:
    season = small_season(
        count, n_weeks, seed=seed, interval=interval, barred_share=barred_share, room=1.1
    )
    found = SeasonAnnealing().solve(season, rounds=3, seed=seed)
    broken = broken_limits(season, found)
    assert {one.kind for one in broken} <= {SeasonBreach.OVER}
    drive_s = season_cost(season, found).drive_s
    assert least_drive_s(season) <= drive_s * (1 + 1e-6)


def test_a_season_with_room_has_no_week_that_is_too_full() -> None:
    season = small_season(40, 12, seed=3, room=2.5)
    found = SeasonAnnealing().solve(season, rounds=40)
    assert not broken_limits(season, found)


def test_what_a_move_changes_is_what_the_reference_cost_changes_by() -> None:
    """The compiled search adds differences; the reference works everything out anew."""
    season = small_season(30, 10, seed=5, interval=4)
    arrays = flat(season)
    state, chance = empty_state(arrays), chance_from(7)
    cost_s = fill(arrays, state, first_weeks(season, None, arrays.livable))
    for warm_s in (2000.0, 100.0, 1.0):
        cost_s += anneal(arrays, state, chance, warm_s, 2000)
        plan = SeasonPlan(weeks=as_plan_weeks(state.weeks))
        assert cost_s == pytest.approx(season_cost(season, plan).total_s, rel=1e-4)


def test_the_same_seed_and_rounds_give_the_same_weeks() -> None:
    season = small_season(30, 10, seed=2)
    one, other = (SeasonAnnealing().solve(season, rounds=5, seed=4).weeks for _ in range(2))
    assert one == other


def test_neighbours_share_a_week_where_their_dates_let_them() -> None:
    """Two stops side by side and one far off: the pair is made together."""
    season = small_season(12, 6, seed=11, room=3.0)
    found = SeasonAnnealing().solve(season, rounds=40)
    first = _as_late_as_may_be(season)
    assert season_cost(season, found).drive_s < season_cost(season, first).drive_s


def test_weeks_that_stand_stay_unless_leaving_them_pays() -> None:
    season = small_season(20, 8, seed=4)
    before = SeasonAnnealing().solve(season, rounds=20)
    kept = _with_kept(season, before.weeks, keep_s=10**7)
    after = SeasonAnnealing().solve(kept, rounds=20, seed=9)
    assert after.weeks == before.weeks


def test_a_job_without_any_week_is_named() -> None:
    season = small_season(3, 4)
    jobs = (replace(season.jobs[0], allowed=0), *season.jobs[1:])
    with pytest.raises(PlanError, match="J-0"):
        SeasonAnnealing().solve(replace(season, jobs=jobs), rounds=1)


def _as_late_as_may_be(season: Season) -> SeasonPlan:
    arrays = flat(season)
    return SeasonPlan(weeks=as_plan_weeks(first_weeks(season, None, arrays.livable)))


def _with_kept(season: Season, weeks: tuple[tuple[int, ...], ...], keep_s: int) -> Season:
    jobs = tuple(
        replace(job, kept=week_set(mine), keep_s=keep_s)
        for job, mine in zip(season.jobs, weeks, strict=True)
    )
    return replace(season, jobs=jobs)
