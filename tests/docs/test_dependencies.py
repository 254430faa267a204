"""pyproject.toml asks for every library that is used, and for no other."""

import ast
import re
import sys
import tomllib
from importlib.metadata import packages_distributions

import pytest

from tests.docs.tables import ROOT

USED_OTHERWISE = {
    "psycopg": "postgresql+psycopg",
    "maplibre": '"maplibre"',
    "xstatic-leaflet": "xstatic.pkg.leaflet",
    "tzdata": "from zoneinfo import ZoneInfo",
}
"""Libraries that no line imports, and the words by which the program uses them all the same."""
COME_WITH = {
    "branca": "folium",
    "flask-login": "flask-security",
    "jinja2": "flask",
    "markupsafe": "flask",
    "pandas": "geopandas",
    "werkzeug": "flask",
    "wtforms": "flask-security",
}
"""Libraries that the program imports and another one always brings."""
OURS = {"registry", "web", "migrations"}


def plain(name: str) -> str:
    """Return a distribution's name as package indexes compare it."""
    return re.sub(r"[-_.]+", "-", name).lower()


PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
ASKED_FOR = {
    plain(re.split(r"[\[<>=;~! ]", one)[0])
    for one in PROJECT["dependencies"] + PROJECT["optional-dependencies"]["compare"]
}


def sources() -> list[str]:
    return [
        file.read_text(encoding="utf-8")
        for top in sorted(OURS)
        for file in (ROOT / top).rglob("*.py")
    ]


def imported() -> set[str]:
    """Return the distributions whose packages the program imports."""
    roots: set[str] = set()
    for node in (node for text in sources() for node in ast.walk(ast.parse(text))):
        if isinstance(node, ast.Import):
            roots |= {alias.name.partition(".")[0] for alias in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            roots.add(node.module.partition(".")[0])
    of = packages_distributions()
    foreign = roots - set(sys.stdlib_module_names) - OURS
    return {plain(of[root][0]) if root in of else root for root in foreign}


IMPORTED = imported()


def test_every_library_that_is_asked_for_is_used() -> None:
    assert ASKED_FOR - IMPORTED - USED_OTHERWISE.keys() == set()


@pytest.mark.parametrize(("library", "words"), USED_OTHERWISE.items())
def test_a_library_that_no_line_imports_is_named_where_it_is_used(library: str, words: str) -> None:
    assert library not in IMPORTED
    assert any(words in text for text in sources())


def test_every_library_that_is_used_is_asked_for_or_comes_with_one() -> None:
    assert IMPORTED - ASKED_FOR - COME_WITH.keys() == set()
    assert set(COME_WITH.values()) <= ASKED_FOR
