"""Most lateral length from the header: an early Minnesota table in a municipal sewage code.

City of Ramsey, Minnesota, sewage code, table I. Status: verified; the table rounds to whole feet,
so a lateral of its length has as many holes as ours, give or take one.
"""

import pytest

from registry.hydraulics import inside_diameter_in, most_holes

LONGEST = [
    (1 / 4, 2.5, (25, 38, 50)),
    (1 / 4, 3.0, (27, 42, 54)),
    (7 / 32, 2.5, (30, 45, 57)),
    (7 / 32, 3.0, (33, 51, 63)),
]
"""Hole [in], spacing [ft], longest lateral [ft] of 1, 1 1/4 and 1 1/2 in pipe."""


@pytest.mark.parametrize(
    ("hole_in", "spacing_ft", "nominal_in", "longest_ft"),
    [
        (hole, spacing, size, length)
        for hole, spacing, row in LONGEST
        for size, length in zip((1.0, 1.25, 1.5), row, strict=True)
    ],
)
def test_a_lateral_of_the_tables_length_is_even_to_one_hole(
    hole_in, spacing_ft, nominal_in, longest_ft
):
    ours = most_holes(inside_diameter_in(nominal_in), 2.5, spacing_ft=spacing_ft, hole_in=hole_in)
    assert abs(ours - int(longest_ft / spacing_ft)) <= 1
