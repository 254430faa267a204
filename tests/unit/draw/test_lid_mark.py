"""The lid mark says how much of the interval has passed, and never lies by rounding."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.unit.draw.reading import SVG, assert_stands_alone_and_is_named, description, read, title
from web.draw.ink import INK, PAPER, RAMP, SHADE, SOFT, WATER, ramp_colour
from web.draw.lid_mark import arc, lid_body, lid_mark
from web.draw.lid_sprite import SHARES, STEPS, lid_name, lid_sheet, twelfths


def luminance(colour: str) -> float:
    """Return relative luminance by WCAG 2.2's definition."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Return the contrast ratio by WCAG 2.2's definition."""
    low, high = sorted((luminance(one), luminance(other)))
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("share", [None, 0.0, 0.4, 0.999, 1.0, 1.001, 1.7, 2.0, 9.0, -0.2])
@pytest.mark.parametrize("known", [None, True, False])
def test_every_mark_stands_alone_and_is_named(share: float | None, known: bool | None) -> None:
    assert_stands_alone_and_is_named(lid_mark(share, known, known, 40, "lid-7", "R-0007"))


def test_a_third_of_the_ring_is_a_third_of_the_interval() -> None:
    path = arc(10, 1 / 3, INK, 4)
    # A third of a turn from the top, clockwise: 120 degrees, so x = r sin 120°, y = -r cos 120°.
    assert f"{10 * math.sin(math.radians(120)):.2f},{-10 * math.cos(math.radians(120)):.2f}" in path
    assert " 0 0 1 " in path
    assert " 0 1 1 " in arc(10, 0.75, INK, 4)


def outer_arcs(svg: str) -> list[object]:
    """Return the strokes of the second ring, which only overdue systems have."""
    return [
        n for n in read(svg).iter() if n.get("stroke") == INK and n.get("stroke-width") == "3.8"
    ]


def test_past_due_the_ring_is_closed_and_a_second_arc_grows() -> None:
    assert not outer_arcs(lid_mark(1.0))
    svg = lid_mark(1.25)
    assert len(outer_arcs(svg)) == 1
    rings = [n for n in read(svg).iter(f"{SVG}circle") if n.get("stroke") == ramp_colour(1.25)]
    assert len(rings) == 1


def test_wave_and_bar_are_drawn_only_where_they_are_true() -> None:
    assert WATER not in lid_mark(0.5, in_hazard_area=None)
    assert WATER in lid_mark(0.5, in_hazard_area=True)
    bars = [lid_mark(0.5, below_bfe=low).count("<line") for low in (True, False, None)]
    assert bars == [2, 0, 0]


def test_the_title_says_what_the_ring_says() -> None:
    assert title(lid_mark(0.3333, label="R-0007")) == (
        "R-0007: 33 % of the service interval passed"
    )
    assert title(lid_mark(0.9999)).startswith("99 %")
    assert title(lid_mark(1.0)) == "due today"
    assert title(lid_mark(1.001)) == "overdue by 1 % of its interval"
    assert title(lid_mark(3.5)) == "overdue by 2.5 intervals"
    assert title(lid_mark(None)) == "no due date can be said yet"
    assert description(lid_mark(1.0, None)).startswith("Flood hazard area unknown")


@given(st.floats(0, 5))
def test_rounding_never_hides_an_overdue_system_and_never_makes_one(share: float) -> None:
    step = twelfths(share)
    assert (step > STEPS) == (share > 1)
    assert (step == STEPS) == (share == 1)
    assert abs(step / STEPS - min(share, 2)) <= 1 / STEPS + 1e-9


@given(st.one_of(st.none(), st.floats(0, 9)), st.booleans(), st.booleans())
def test_every_system_finds_its_drawn_mark(share: float | None, wave: bool, bar: bool) -> None:
    assert lid_name(share, wave, bar) in lid_sheet().places


def test_the_sheet_holds_each_mark_in_a_cell_of_its_own() -> None:
    sheet = lid_sheet(48)
    assert_stands_alone_and_is_named(sheet.svg)
    assert len(sheet.places) == 4 * (2 * STEPS + 2)
    assert len(set(sheet.places.values())) == len(sheet.places)
    assert all(x + 48 <= sheet.width and y + 48 <= sheet.height for x, y in sheet.places.values())


def test_the_drawn_marks_are_all_different() -> None:
    pairs = [(wave, bar) for wave in (True, False) for bar in (True, False)]
    bodies = {lid_body(share, wave, bar) for share in SHARES for wave, bar in pairs}
    assert len(bodies) == 4 * len(SHARES)


def test_the_ramp_is_the_published_cividis() -> None:
    # Nuñez et al. 2018 as carried by matplotlib's table of 256 colours.
    maps = pytest.importorskip("matplotlib", reason="matplotlib carries the published table")
    table = maps.colormaps["cividis"]
    published = [maps.colors.to_hex(table(at)) for at in range(108, -1, -12)]
    assert list(RAMP) == published


def test_colours_keep_the_contrast_that_wcag_asks_for() -> None:
    # WCAG 2.2: 1.4.11 asks 3:1 for what a picture is read by, 1.4.6 7:1 for words.
    assert all(contrast(colour, PAPER) >= 3 for colour in RAMP)
    assert all(contrast(colour, SHADE) >= 3 for colour in RAMP)
    assert all(contrast(colour, PAPER) >= 7 for colour in (INK, SOFT, WATER))
    lightness = [luminance(colour) for colour in RAMP]
    assert lightness == sorted(lightness, reverse=True)
