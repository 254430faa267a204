"""How parcel numbers are written differs, what they name does not. Invented numbers."""

import pytest

from registry.imports.parcel_numbers import LOOSE, SAME, SAME_GROUPS, SAME_SIGNS, likeness


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("R12-004.5", "r12 004 5", SAME),
        ("R12-004.5", "R120045", SAME_SIGNS),
        ("12-04-005", "012-4-5", SAME_GROUPS),
        ("R07-12", "R7-12", SAME_GROUPS),
        ("1-23", "12-3", LOOSE),
        ("012-4-5", "12045", 0.0),
        ("12-4", "12-5", 0.0),
        ("", "", 0.0),
    ],
)
def test_two_ways_to_write_a_number_are_one_only_where_no_doubt_is_left(
    one: str, other: str, expected: float
) -> None:
    assert likeness(one, other) == likeness(other, one) == expected
