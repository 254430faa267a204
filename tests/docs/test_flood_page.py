"""docs/flood.md says of zones, edges, levels and datums what the program does."""

import re

import pytest

from registry.flood import NOT_A_DETERMINATION
from registry.flood.bfe import interpolated_ft
from registry.flood.bfe_lines import ON_LINE_M
from registry.flood.facts import EDGE_ACCURACY_M, STATIC
from registry.flood.nfhl import number_value
from registry.flood.zones import layer_sfha
from tests.docs.tables import ROOT, rows

TEXT = " ".join((ROOT / "docs/flood.md").read_text(encoding="utf-8").replace("> ", "").split())
COUNTS_AS = {"in the hazard area": True, "outside": False, "unknown": None}


def zones() -> list[tuple[str, bool | None]]:
    """Return every zone of the page's table with whether it counts as a hazard area."""
    found = []
    for names, said in rows("docs/flood.md", "zone"):
        for name in re.findall(r"[A-Z][A-Z0-9 ]*(?:/…)?", names):
            counts = next(value for words, value in COUNTS_AS.items() if said.startswith(words))
            found.append((name.replace("…", "AE"), counts))
    return found


@pytest.mark.parametrize(("zone", "counts"), [one for one in zones() if one[0]])
def test_a_zone_counts_as_the_page_says(zone: str, counts: bool | None) -> None:
    assert layer_sfha(zone, "") is counts


def test_the_page_has_the_zones_of_the_layer() -> None:
    assert {"VE", "AE", "A30", "AO", "A99", "X", "D", "OPEN WATER", "AREA NOT INCLUDED"} <= {
        zone for zone, _ in zones()
    }


def test_the_flag_and_the_zone_decide_together_as_the_page_says() -> None:
    assert layer_sfha("X", "T") is False
    assert layer_sfha("AE", "F") is True
    assert layer_sfha("D", "T") is None
    assert layer_sfha("OPEN WATER", "T") is True


def test_the_page_says_that_it_is_no_determination_in_the_words_of_the_program() -> None:
    assert NOT_A_DETERMINATION in TEXT


def test_the_numbers_in_the_text_are_those_of_the_program() -> None:
    assert f"nearer than {EDGE_ACCURACY_M:g} m to the edge" in TEXT
    assert f"a BFE line within {ON_LINE_M:g} m" in TEXT
    assert f"| {STATIC} |" in TEXT
    assert interpolated_ft(1, (0, 108), (2, 109)) == 108.5
    assert "Half way between the lines 108 and 109 it is 108.5 ft" in TEXT


@pytest.mark.parametrize("null", ["-9999", "-8888", "", "<Null>", "NP"])
def test_a_null_of_the_layer_is_no_number(null: str) -> None:
    assert number_value(null) is None
