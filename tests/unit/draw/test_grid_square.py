"""The hatched square of many systems."""

from itertools import pairwise

import pytest

from registry.errors import RangeError
from tests.unit.draw.reading import assert_stands_alone_and_is_named, said, title
from web.draw.grid_square import HATCH_LEVELS, grid_square, hatch_level, square_body, square_sprite


def test_the_square_says_how_many_of_how_many_are_overdue() -> None:
    svg = grid_square(40, 12, ident="cell-3-4")
    assert_stands_alone_and_is_named(svg)
    assert title(svg) == "12 of 40 overdue"
    assert said(svg) == ["12", "of 40", "overdue"]
    assert said(grid_square(50_000, 13_580))[:2] == ["13,580", "of 50,000"]


@pytest.mark.parametrize(
    ("n", "overdue", "level"),
    [(40, 0, 0), (40, 1, 1), (40, 8, 1), (40, 9, 2), (40, 39, 5), (1, 1, 5)],
)
def test_only_a_cell_without_overdue_systems_is_unhatched(n: int, overdue: int, level: int) -> None:
    assert hatch_level(n, overdue) == level


def test_hatching_grows_denser_with_the_share() -> None:
    strokes = [square_body(level).count("<line") for level in range(HATCH_LEVELS)]
    assert strokes[0] == 0
    assert all(after >= 1.4 * before for before, after in pairwise(strokes))


@pytest.mark.parametrize(("n", "overdue"), [(0, 0), (3, 4), (3, -1)])
def test_a_part_larger_than_its_whole_is_refused(n: int, overdue: int) -> None:
    with pytest.raises(RangeError, match="whole above zero"):
        grid_square(n, overdue)


def test_the_squares_for_the_map_stand_alone() -> None:
    assert list(square_sprite()) == [f"square-{level}" for level in range(HATCH_LEVELS)]
    for svg in square_sprite().values():
        assert_stands_alone_and_is_named(svg)
