"""Neighbours and the estimate of a tour, against what is published."""

import numpy as np
import pytest

from registry.season.near import (
    TOUR_CONSTANT,
    TOUR_FACTOR,
    WEIGHTS,
    near_by_roads,
    near_on_plane,
    spread_drive_s,
)


def test_nearest_stops_of_even_points_tell_the_published_tour() -> None:
    """0.7124 √(n A): Johnson, McGeoch and Rothberg 1996; the edge of the square adds some."""
    n = 4000
    xy_s = np.random.default_rng(1).random((n, 2)) * 10_000
    same = np.zeros(n, np.int64)
    near = near_on_plane(xy_s, np.arange(n), same, np.full(n, 1e6), 0.0, most=8)
    stops = sum(float(near.of(at)[1][: len(WEIGHTS)] @ WEIGHTS) for at in range(n))
    assert TOUR_FACTOR * stops == pytest.approx(TOUR_CONSTANT * (n * 1e8) ** 0.5, rel=0.04)


def test_the_drive_between_even_stops_is_the_published_tour_over_their_number() -> None:
    xy_s = np.random.default_rng(2).random((5000, 2)) * 6000
    by_law_s = TOUR_CONSTANT * 6000 / 40**0.5
    assert spread_drive_s(xy_s, 40) == pytest.approx(by_law_s, rel=0.02)


def test_jobs_of_one_site_lie_at_no_distance_and_others_cost_an_arrival() -> None:
    xy_s = np.array([[0.0, 0.0], [0.0, 0.0], [30.0, 40.0]])
    near = near_on_plane(xy_s, np.array([1, 1, 2]), np.zeros(3, np.int64), np.full(3, 500.0), 10.0)
    assert near.of(0)[0].tolist() == [1, 2]
    assert near.of(0)[1].tolist() == [0.0, 60.0]
    assert near.yard_s.tolist() == [1010.0] * 3


def test_jobs_of_different_fleets_are_never_near() -> None:
    xy_s = np.zeros((2, 2))
    near = near_on_plane(xy_s, np.array([1, 2]), np.array([0, 1]), np.full(2, 500.0), 0.0)
    assert not len(near.points)


def test_road_times_make_the_lists_that_the_plane_makes() -> None:
    xy_s = np.random.default_rng(3).random((30, 2)) * 1000
    travel_s = np.hypot(*(xy_s[:, None] - xy_s[None]).transpose(2, 0, 1))
    same, alone = np.zeros(30, np.int64), np.arange(30)
    yard_s = np.full(30, 400.0)
    by_roads = near_by_roads(travel_s, alone, alone, same, yard_s, 60.0)
    on_plane = near_on_plane(xy_s, alone, same, yard_s, 60.0)
    assert np.array_equal(by_roads.begins, on_plane.begins)
    assert np.allclose(by_roads.drive_s, on_plane.drive_s)
