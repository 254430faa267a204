"""docs/errors.md has every error class, with the ending and the status that the code gives it."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest

from registry import errors
from registry.cli.endings import run_with_clear_endings
from tests.docs.tables import ROOT, rows
from web.errors import STATUS, status_of

DOCUMENTED = {name: rest for name, *rest in rows("docs/errors.md", "class")}


def tree(root: type[Exception] = errors.RegistryError) -> Iterator[type[Exception]]:
    yield root
    for child in root.__subclasses__():
        if child.__module__ == errors.__name__:
            yield from tree(child)


CLASSES = sorted(set(tree()), key=lambda one: one.__name__)


def raised(kind: type[Exception]) -> Exception:
    if kind is errors.RowError:
        return errors.RowError([errors.Complaint("sites.csv", 2, "lat", "it is empty", "Fill it")])
    return kind("The lid is missing.")


def test_the_document_names_the_classes_of_the_tree_and_no_other():
    assert set(DOCUMENTED) == {one.__name__ for one in CLASSES}


@pytest.mark.parametrize("kind", CLASSES)
def test_the_meaning_in_the_document_is_the_class_docstring(kind: type[Exception]):
    assert DOCUMENTED[kind.__name__][0] == (kind.__doc__ or "").partition("\n")[0]


@pytest.mark.parametrize("kind", CLASSES)
def test_a_command_ends_as_the_document_says(kind: type[Exception], capsys):
    @click.command()
    def command() -> None:
        raise raised(kind)

    assert run_with_clear_endings(command, []) == int(DOCUMENTED[kind.__name__][1])
    shown = capsys.readouterr()
    assert shown.out == ""
    assert str(raised(kind)) in shown.err
    assert "Traceback" not in shown.err


@pytest.mark.parametrize("kind", CLASSES)
def test_a_page_answers_as_the_document_says(kind: type[errors.RegistryError]):
    assert kind in STATUS, f"web/errors.py gives {kind.__name__} no status of its own."
    assert status_of(kind) == int(DOCUMENTED[kind.__name__][2])


def test_an_error_class_elsewhere_is_a_special_case_of_a_documented_one():
    strangers = [
        f"{file.relative_to(ROOT)}: {node.name}"
        for top in ("registry", "web")
        for file in (ROOT / top).rglob("*.py")
        if file != Path(errors.__file__)
        for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(node, ast.ClassDef)
        and not node.name.startswith("_")  # never leaves its module
        and any(is_foreign(ast.unparse(base)) for base in node.bases)
    ]
    assert strangers == []


def is_foreign(base: str) -> bool:
    name = base.rpartition(".")[2]
    return bool(re.search(r"(Error|Exception|Warning)$", name)) and name not in DOCUMENTED
