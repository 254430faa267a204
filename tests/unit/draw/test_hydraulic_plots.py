"""Plots of networks: readable without colour, on the paper, safe in a page."""

from xml.etree import ElementTree as ET

import pytest

from web.draw.hydraulic_plots import Curve, Mark, curves_plot

SVG = "{http://www.w3.org/2000/svg}"
AXES = ("gallons per minute", "feet of head")


def plot(*curves: Curve, mark: Mark | None = None) -> ET.Element:
    return ET.fromstring(curves_plot(curves, "Pump", "It falls.", AXES, mark))  # noqa: S314 - ours


def test_every_line_has_its_own_dashes_and_its_name() -> None:
    names = [f"lateral {n}" for n in range(1, 6)]
    drawn = plot(*(Curve(name, [0, 10], [5, n]) for n, name in enumerate(names)))
    lines = drawn.findall(f"{SVG}polyline")
    assert len({one.get("stroke-dasharray") for one in lines}) == 5
    written = [one.text for one in drawn.iter(f"{SVG}text")]
    assert set(names) <= set(written)


def test_the_picture_has_a_title_and_says_what_it_shows() -> None:
    drawn = plot(Curve("pump", [0, 60], [40, 10]))
    assert drawn.get("role") == "img"
    assert drawn.findtext(f"{SVG}title") == "Pump"
    assert drawn.findtext(f"{SVG}desc") == "It falls."


@pytest.mark.parametrize("x", [0.0, 30.0, 60.0])
def test_the_words_of_a_mark_stay_on_the_paper(x: float) -> None:
    drawn = plot(Curve("pump", [0, 60], [40, 10]), mark=Mark(x, 20.0, "26.2 gpm at 35.4 ft"))
    (said,) = [one for one in drawn.iter(f"{SVG}text") if one.text == "26.2 gpm at 35.4 ft"]
    half = 12 * 0.62 * len("26.2 gpm at 35.4 ft") / 2
    assert half <= float(said.get("x", "0")) <= 340 - half


def test_what_is_not_a_number_is_left_out() -> None:
    drawn = plot(Curve("pump", [0, 1, 2], [40, float("nan"), 30]))
    (one,) = drawn.findall(f"{SVG}polyline")
    assert len(one.get("points", "").split()) == 2


def test_a_name_is_text_and_no_markup() -> None:
    drawn = curves_plot([Curve("<b>&", [0, 1], [1, 2])], "T", "S", AXES)
    assert "<b>" not in drawn
