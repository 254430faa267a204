"""SVG as text: escaping, names, numbers."""

import pytest

from registry.errors import RangeError
from tests.unit.draw.reading import assert_stands_alone_and_is_named, read, said, title
from web.draw.svg import element, fitted, number, picture, words, words_width

NASTY = "<script>alert(1)</script> & \"quotes\" 'x' ]]> \x00\x08\x1f \ud800 é 漢字"


def test_whatever_a_file_holds_comes_out_as_text() -> None:
    svg = picture("p", NASTY, NASTY, (0, 0, 9, 9), words(0, 0, NASTY), element("g", class_=NASTY))
    assert_stands_alone_and_is_named(svg)
    assert said(svg) == ["<script>alert(1)</script> & \"quotes\" 'x' ]]>   é 漢字"]
    assert title(svg).startswith("<script>")


@pytest.mark.parametrize("ident", ["", "1st", "a b", 'a"onload="x', "ä"])
def test_a_name_that_cannot_be_an_id_is_refused(ident: str) -> None:
    with pytest.raises(RangeError, match="cannot name a picture"):
        picture(ident, "t", "d", (0, 0, 1, 1))


@pytest.mark.parametrize(
    ("value", "text"), [(1.0, "1"), (0.126, "0.13"), (-0.001, "0"), (100, "100"), (-2.5, "-2.5")]
)
def test_coordinates_are_short_and_never_minus_zero(value: float, text: str) -> None:
    assert number(value) == text


def test_an_attribute_that_is_none_is_left_out() -> None:
    assert element("g", fill=None, stroke_width=2) == '<g stroke-width="2"/>'


def test_text_that_is_too_wide_is_cut_where_it_can_be_seen() -> None:
    cut = fitted("a very long name of a place", 10, 80)
    assert cut.endswith("…")
    assert words_width(cut, 10) <= 80
    assert fitted("short", 10, 80) == "short"


def test_two_pictures_with_two_names_share_no_id() -> None:
    both = [picture(name, "t", "d", (0, 0, 1, 1), element("g")) for name in ("one", "two")]
    ids = [{node.get("id") for node in read(svg).iter()} - {None} for svg in both]
    assert not ids[0] & ids[1]
