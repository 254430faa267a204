"""Every number in the pure core carries its unit in its name; docs/words.md is the list."""

import ast
import re
from collections.abc import Iterator

import pytest

from tests.docs.tables import ROOT, rows

CORE = ("records", "hydraulics", "flood", "due", "plan", "field", "report")
ENDINGS = [ending for ending, _ in rows("docs/words.md", "ending")]
ALONE = {name for name, *_ in rows("docs/words.md", "name")}
SYNONYMS = {
    "_feet": "_ft",
    "_inches": "_in",
    "_meters": "_m",
    "_metres": "_m",
    "_miles": "_mi",
    "_gallons": "_gal",
    "_secs": "_s",
    "_mins": "_min",
    "_hrs": "_h",
    "_degrees": "_deg",
    "_fraction": "_share",
    "_percent": "_pct",
    "_fps": "_ft_s",
    "_sqft": "_ft2",
    "_kmh": "_km_h",
    "latitude": "lat",
    "longitude": "lon",
}
"""Spellings that a second hand might choose, and the one that the glossary has."""


def numbers(tree: ast.AST) -> Iterator[str]:
    """Yield the names of parameters and fields that are annotated as a real number or an array.

    The numbers of a mapping or a tuple are named by its keys or its docstring.
    """
    for node in ast.walk(tree):
        if isinstance(node, ast.FunctionDef) and not node.name.startswith("_"):
            given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs]
            named = [(one.arg, one.annotation) for one in given]
        elif isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
            named = [(node.target.id, node.annotation)]
        else:
            continue
        for name, kind in named:
            said = "" if kind is None else ast.unparse(kind)
            if re.search(r"\bfloat", said) and not re.search(r"(?i)\b(mapping|dict|tuple)\[", said):
                yield name.lower()


def core_numbers() -> dict[str, str]:
    """Return every such name of the pure core and one place where it stands."""
    return {
        name: f"registry/{part}/{file.name}"
        for part in CORE
        for file in sorted((ROOT / "registry" / part).rglob("*.py"))
        for name in numbers(ast.parse(file.read_text(encoding="utf-8")))
    }


def carries_its_unit(name: str) -> bool:
    datum = r"(_navd88|_ngvd29|_local)?$"  # an elevation carries its datum after its unit
    return name in ALONE or any(re.search(re.escape(end) + datum, name) for end in ENDINGS)


def test_a_number_of_the_core_ends_in_its_unit_or_is_in_the_glossary():
    bare = {name: where for name, where in core_numbers().items() if not carries_its_unit(name)}
    assert bare == {}, "Give the name its unit, or add it to docs/words.md."


def test_every_name_of_the_glossary_is_used():
    assert ALONE - core_numbers().keys() == set()


def test_a_quantity_has_one_spelling():
    twice = {
        name: (where, right)
        for name, where in core_numbers().items()
        for wrong, right in SYNONYMS.items()
        if name == wrong.lstrip("_") or name.endswith(wrong)
    }
    assert twice == {}


@pytest.mark.parametrize(
    ("source", "names"),
    [
        ("def flow(head: float) -> float: ...", ["head"]),
        ("class A:\n    depth_ft: float | None = None", ["depth_ft"]),
        ("def _inner(x: float) -> None: ...", []),
        ("def of(name: str, count: int) -> None: ...", []),
        ("def of(readings: Mapping[str, float]) -> None: ...", []),
    ],
)
def test_the_reader_of_names_sees_real_numbers_of_public_functions(source: str, names: list[str]):
    assert list(numbers(ast.parse(source))) == names
