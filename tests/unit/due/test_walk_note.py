"""A site's access note may say how far it is to walk."""

import pytest

from registry.due.walk_note import walk_ft_in


@pytest.mark.parametrize(
    ("note", "walk_ft"),
    [
        ("", None),
        ("Turn-around at the barn; do not use the lawn.", None),
        ("Second drive, 300 ft past the mailbox. Walk from there.", None),
        ("Park at the gate, walk 300 ft along the fence.", 300.0),
        ("Walk of 1,200 feet", 1200.0),
        ("100 yd walk; keep the dog in", 300.0),
        ("Walk 100 m down", 328.084),
        ("walk 40 paces north", 100.0),
        ("Walk 3 miles", None),
        ("Walk 99,999 ft", None),
    ],
)
def test_the_length_in_a_sentence_with_walk_counts(note, walk_ft):
    assert walk_ft_in(note) == (None if walk_ft is None else pytest.approx(walk_ft, rel=1e-4))
