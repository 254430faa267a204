"""pyproject.toml asks for every library that is used, and for no other."""

import ast
import re
import subprocess
import sys
import tomllib
from importlib.metadata import packages_distributions

import pytest

from tests.docs.tables import ROOT

USED_OTHERWISE = {
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
    for one in PROJECT["dependencies"]
    + PROJECT["optional-dependencies"]["compare"]
    + PROJECT["optional-dependencies"]["addresses"]
    + PROJECT["optional-dependencies"]["county"]
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


def test_only_the_comparison_reaches_for_what_an_extra_brings() -> None:
    reach = {
        str(file.relative_to(ROOT))
        for top in sorted(OURS)
        for file in (ROOT / top).rglob("*.py")
        if re.search(
            r"\bimport pyvrp|from pyvrp|solvers\.(?:with_pyvrp|pyvrp_model)\b",
            file.read_text(encoding="utf-8"),
        )
    }
    assert reach == {
        "registry/solvers/contest.py",
        "registry/solvers/pyvrp_model.py",
        "registry/solvers/with_pyvrp.py",
    }


def test_a_day_is_ordered_where_neither_scipy_nor_pyvrp_is_installed() -> None:
    words = """
import subprocess
import sys
sys.modules["scipy"] = sys.modules["pyvrp"] = None
import registry.roads.with_dijkstra, registry.flood.bfe_lines, registry.wiring
from registry.solvers.combined import CombinedSolver
from registry.solvers.with_pyvrp import PyVRPSolver
from tests.days import random_day
assert any(CombinedSolver().solve(random_day(1), rounds=500).routes)
try:
    PyVRPSolver().solve(random_day(1), rounds=1)
except Exception as wrong:
    print(wrong)
"""
    done = subprocess.run(
        [sys.executable, "-c", words], cwd=ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    assert "riserway[compare]" in done.stdout
