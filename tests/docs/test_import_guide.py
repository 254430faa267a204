"""The import guide names every field, every kind of file and every word that a file may hold."""

import tomllib
from pathlib import Path

import pytest

from registry.cli.imports import COMMANDS
from registry.imports.column_map import TABLES
from registry.imports.fields import SITES
from registry.imports.part_rows import KINDS
from registry.imports.river_rows import KINDS as RIVER_KINDS
from registry.records.systems import ComponentKind, SystemKind

GUIDE = (Path(__file__).parents[2] / "docs/import.md").read_text()


@pytest.mark.parametrize("kind", ["sites", *KINDS, *RIVER_KINDS])
def test_every_field_of_a_file_is_in_the_guide(kind: str) -> None:
    fields = SITES if kind == "sites" else {**KINDS, **RIVER_KINDS}[kind].fields
    assert [one.name for one in fields if f"`{one.name}`" not in GUIDE] == []


@pytest.mark.parametrize("name", COMMANDS)
def test_every_kind_of_file_is_in_the_guide(name: str) -> None:
    assert f"`riserway import {name} FILE`" in GUIDE


def test_every_kind_of_system_and_component_is_in_the_guide() -> None:
    words = " ".join(GUIDE.split())
    assert [one.value for one in (*SystemKind, *ComponentKind) if one.value not in words] == []


def test_the_guides_column_map_holds_every_part_of_one() -> None:
    text = GUIDE.split("## The column map")[1].split("```toml\n")[1].split("```")[0]
    assert set(tomllib.loads(text)) == {"key", *TABLES}
