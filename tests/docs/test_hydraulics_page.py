"""docs/hydraulics.md has every formula of the program, word for word."""

from registry.hydraulics.formulas import FORMULAS
from tests.docs.tables import rows


def test_the_page_has_every_formula_as_the_program_shows_it() -> None:
    ours = [
        [one.name, one.says, one.inputs, one.source, one.holds, one.disagrees or "–"]
        for one in FORMULAS.values()
    ]
    assert rows("docs/hydraulics.md", "formula") == ours
