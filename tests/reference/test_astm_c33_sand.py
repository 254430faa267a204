"""Sand for filters: ASTM C33 gradation and WAC 246-272B-06700 (4), Washington's large systems.

Status: fineness modulus range, 45 % rule and coarse sand verified; sieve limits verified in a copy,
but No. 30 from memory; the worked modulus derived.
"""

import pytest

from registry.hydraulics import fineness_modulus, gradation_faults, is_coarse_sand

HELD_PCT = dict(
    zip(("3/8", "4", "8", "16", "30", "50", "100"), (0, 3, 10, 35, 60, 85, 96), strict=True)
)
PASSING_PCT = {sieve: 100 - held for sieve, held in HELD_PCT.items()} | {"200": 2}


def test_the_worked_fineness_modulus_is_2_89():
    assert fineness_modulus(HELD_PCT) == pytest.approx(2.89, abs=1e-9)


def test_the_worked_sand_is_in_range():
    assert gradation_faults(PASSING_PCT) == ()


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"200": 3.5}, "sieve 200"),
        ({"16": 86, "30": 40}, "sieve 16"),
        ({"8": 96, "16": 50}, "46 % lies between sieves 8 and 16"),
        ({"16": 85, "30": 60, "50": 30, "100": 10}, "fineness modulus is 2.28"),
    ],
)
def test_sand_outside_a_limit_is_told_which(change, told):
    assert any(told in fault for fault in gradation_faults(PASSING_PCT | change))


@pytest.mark.parametrize(
    ("effective_mm", "uniformity", "is_coarse"),
    [(0.3, 3.9, True), (0.5, 2.0, True), (0.29, 3.0, False), (0.4, 4.0, False)],
)
def test_coarse_sand_goes_by_effective_size_and_uniformity(effective_mm, uniformity, is_coarse):
    assert is_coarse_sand(effective_mm, uniformity) is is_coarse
