"""The shared parts of the pages: escaped, without inline looks, in the colours of the pictures."""

import re
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import pytest
from jinja2 import Environment, FileSystemLoader, StrictUndefined
from lxml import html

from registry.field.cautions import CAUTIONS
from registry.field.gate_sheet import Bring, Prompt, SheetTask
from registry.field.return_to_service import return_to_service
from registry.records.places import Hazard
from registry.records.visits import Reading, Traced
from tests.unit.draw.test_lid_mark import contrast
from web import present
from web.draw import ink
from web.draw.dial_parts import DialPart, dial_table
from web.draw.lid_mark import lid_mark
from web.draw.pace_dial import pace_dial
from web.draw.reading_plot import PlotPoint, plot_table, reading_plot

WEB = Path(present.__file__).parent
NASTY = "<img src=x onerror=alert(1)>"
PAGES = Environment(
    loader=FileSystemLoader(WEB / "templates"), autoescape=True, undefined=StrictUndefined
)


def shown(file: str, call: str, **given: object) -> html.HtmlElement:
    """Return what one macro writes; nothing of it may be inline script or style."""
    imported = "{% import 'parts/" + file + "' as parts %}"
    text = PAGES.from_string(imported + "{{ parts." + call + " }}").render(**given)
    page = html.fragment_fromstring(text, create_parent="div")
    for node in page.iter():
        assert node.tag not in {"script", "style", "img"}
        assert not [name for name in node.attrib if name == "style" or name.startswith("on")]
    return page


def words(page: html.HtmlElement) -> str:
    """Return the text of a part with single spaces."""
    return " ".join(page.text_content().split())


READING = Reading(
    id="r",
    visit_id="v",
    site_id=1,
    kind="pump rate",
    value=21.3,
    unit="gpm",
    read_on=date(2025, 5, 2),
)


@pytest.mark.parametrize(
    ("file", "call", "given"),
    [
        ("states.html", "empty(x, x, x, '/')", {}),
        ("states.html", "errors([x, x])", {}),
        ("states.html", "loading(x)", {}),
        ("states.html", "print_button(x)", {}),
        ("origins.html", "sourced(x, x, true)", {}),
        ("origins.html", "traced(x, [t], 'min', present)", {"t": Traced(NASTY, 2.0, NASTY)}),
        ("origins.html", "facts([(x, x)])", {}),
        ("tables.html", "table(x, (x, x), [(x, x)], (1,))", {}),
        ("safety.html", "hazards([h])", {"h": Hazard(NASTY, NASTY)}),
        ("pictures.html", "dial(svg, rows, x)", {}),
        ("sheet.html", "task(task, present)", {}),
    ],
)
def test_what_comes_from_a_file_is_text(file: str, call: str, given: dict[str, object]) -> None:
    part = DialPart(NASTY, 10, 20, note=NASTY)
    task = SheetTask(
        code="x",
        name=NASTY,
        steps=(NASTY,),
        cautions=(NASTY,),
        prompts=(Prompt(kind=NASTY, part=NASTY, unit=NASTY, last=READING, before=READING),),
    )
    page = shown(
        file,
        call,
        x=NASTY,
        present=present,
        svg=pace_dial([part]),
        rows=dial_table([part]),
        task=task,
        **given,
    )
    assert NASTY in words(page)


def test_an_unknown_hazard_is_not_told_as_none() -> None:
    assert "not the same as none" in words(shown("safety.html", "hazards(())"))


def test_every_caution_stands_with_its_source() -> None:
    said = words(shown("safety.html", "cautions(cautions)", cautions=CAUTIONS))
    assert all(one.text in said and one.source in said for one in CAUTIONS)


def test_every_item_of_return_to_service_has_its_box() -> None:
    items = return_to_service([])
    page = shown("safety.html", "return_to_service(items)", items=items)
    assert len(page.findall(".//li")) == len(items)
    assert len([node for node in page.iter("span") if "tick" in node.get("class", "")]) == len(
        items
    )


def test_a_task_shows_its_last_readings_with_the_change() -> None:
    before = replace(READING, value=24.1, read_on=date(2024, 5, 3))
    prompt = Prompt(kind="pump rate", unit="gpm", last=READING, before=before, change_share=-0.116)
    task = SheetTask(code="t", name="Pump test", prompts=(prompt,))
    said = words(shown("sheet.html", "task(task, present)", task=task, present=present))
    assert "21.3 gpm (−12 %) 2 May 2025" in said
    assert "24.1 gpm 3 May 2024" in said


@pytest.mark.parametrize(
    ("bring", "said"),
    [
        (Bring(water_bring_gal=40, water_needed_gal=60, water_available_gal=20), "40 gal: 60 gal"),
        (Bring(water_bring_gal=60, water_needed_gal=60), "none known on site"),
        (Bring(water_needed_gal=20, water_available_gal=30), "none: 20 gal needed and on site"),
        (Bring(tools=("probe", "tape"), people=2), "2 people"),
    ],
)
def test_what_to_bring_is_told_in_words(bring: Bring, said: str) -> None:
    assert said in words(shown("sheet.html", "bring(b, present)", b=bring, present=present))


def test_a_plot_keeps_its_superseded_values_in_the_table() -> None:
    points = [
        PlotPoint(date(2025, 5, 1), 212.0, superseded=True),
        PlotPoint(date(2025, 5, 1), 21.2),
    ]
    page = shown(
        "pictures.html",
        "plot(svg, rows, 'Drawdown rate')",
        svg=reading_plot(points, "gpm", "Drawdown rate"),
        rows=plot_table(points, "gpm"),
    )
    assert [node.text for node in page.iter("s")] == ["212.0 gpm"]


@dataclass
class Row:
    """One row of a table of the caller's own."""

    name: str


def test_a_table_takes_the_callers_cells_and_can_be_scrolled_by_keyboard() -> None:
    source = (
        "{% import 'parts/tables.html' as t %}"
        "{% call(row) t.rows_table('Sites', ('Site',), rows) %}"
        "<td>{{ row.name }}</td>{% endcall %}"
    )
    page = html.fragment_fromstring(PAGES.from_string(source).render(rows=[Row("R-1")]))
    assert page.get("tabindex") == "0"
    assert page.get("aria-label") == "Sites"
    assert [cell.text for cell in page.iter("td")] == ["R-1"]


def test_a_lid_stands_before_its_words() -> None:
    assert words(shown("pictures.html", "lid(svg, 'overdue')", svg=lid_mark(1.2))).endswith(
        "overdue"
    )


def colours() -> dict[str, str]:
    """Return the colours that the style sheet names."""
    sheet = (WEB / "static/riserway.css").read_text()
    return dict(re.findall(r"--(\w+): (#[0-9a-f]{6});", sheet))


def test_pages_and_pictures_have_the_same_ink() -> None:
    named = colours()
    for name in ("PAPER", "INK", "SOFT", "WATER", "EDGE", "FAINT"):
        assert named[name.lower()] == getattr(ink, name)


def test_words_hold_seven_to_one_on_every_ground() -> None:
    # WCAG 2.2, success criterion 1.4.6, contrast (enhanced).
    named = colours()
    grounds = [named["paper"], "#ffffff"]
    assert all(
        contrast(named[word], ground) >= 7
        for word in ("ink", "soft", "water", "rust")
        for ground in grounds
    )
    assert contrast(named["paper"], named["ink"]) >= 7
    assert contrast("#ffffff", named["water"]) >= 7


def test_edges_that_must_be_seen_hold_three_to_one() -> None:
    # WCAG 2.2, success criterion 1.4.11, non-text contrast.
    named = colours()
    assert contrast(named["edge"], named["paper"]) >= 3
    assert contrast(named["edge"], named["shade"]) >= 3


def test_templates_and_styles_load_nothing_from_elsewhere_and_write_nothing_inline() -> None:
    files = [*(WEB / "templates").rglob("*.html"), *(WEB / "static").glob("*.css")]
    assert files
    for file in files:
        text = file.read_text()
        assert not re.search(r"""(?:src|href)\s*=\s*["'](?:https?:)?//""", text), file
        assert file.suffix != ".css" or not re.search(r"@import|\burl\(", text), file
        assert not re.search(r"<style|\sstyle=|\son\w+=\"|javascript:", text), file
        assert not re.search(r"<script(?![^>]*nonce=)", text), file
