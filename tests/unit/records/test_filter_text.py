"""A filter goes into an address and comes back the same; a wrong one is refused in words."""

from itertools import product

import pytest

from registry.errors import RangeError
from registry.records.due_rows import DueFilter
from registry.records.filter_text import NAMES, filter_of, texts_of
from registry.report.filter_words import filter_words

VALUES = {
    "late": ("", "30", "all"),
    "kind": ("", "mound"),
    "zone": ("", "in", "out", "AE"),
    "below": ("", "yes", "no"),
    "permit": ("", "operating", "not on file"),
    "agreement": ("", "in-force", "lapsed", "none"),
    "serious": ("", "open"),
}
OTHERS = {"task": "inspection", "place": "7", "town": "Lower End"}


def test_every_filter_comes_back_from_its_texts_the_same() -> None:
    assert {*VALUES, *OTHERS} == {*NAMES}
    for values in product(*VALUES.values()):
        asked = dict(zip(VALUES, values, strict=True)) | OTHERS
        which = filter_of(asked)
        assert texts_of(which) == {name: text for name, text in asked.items() if text}
        assert filter_of(texts_of(which)) == which


def test_no_text_asks_for_all_that_is_overdue() -> None:
    assert filter_of({}) == DueFilter(late_days=0)
    assert texts_of(DueFilter(late_days=0)) == {}


def test_the_words_name_each_filter() -> None:
    asked = dict.fromkeys(VALUES, "") | {"late": "90", "zone": "AE", "below": "no"} | OTHERS
    said = filter_words(filter_of(asked), {7: "Own County"}, {"inspection": "Inspection"})
    assert said == (
        "Shown are systems more than 90 days overdue; by the task Inspection, whatever is due "
        "first; in flood zone AE; "
        "with no equipment below the base flood elevation; in Own County; in the town Lower End."
    )


@pytest.mark.parametrize("name", ["late", "kind", "zone", "below", "place", "agreement", "serious"])
def test_a_text_that_a_filter_does_not_take_is_refused(name: str) -> None:
    with pytest.raises(RangeError):
        filter_of({name: "no such thing"})
