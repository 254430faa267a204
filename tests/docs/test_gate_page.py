"""docs/gate.md names every rule, and every key of a record."""

from dataclasses import fields

from registry.due.reading_file import KEYS
from registry.field.reading_words import WORDS
from registry.records.gate_visit import GateVisit
from tests.docs.tables import rows


def keys_of(page: str, head: str) -> set[str]:
    """Return the keys that the first column of a table names."""
    named = [row[0] for row in rows(page, head)]
    return {one.strip("` ") for cell in named for one in cell.split(",")}


def test_the_rules_are_those_of_the_program() -> None:
    assert {rule for rule, *_ in rows("docs/gate.md", "rule")} == WORDS.keys()


def test_the_keys_of_a_record_are_those_of_a_visit() -> None:
    of_visit = {one.name for one in fields(GateVisit)}
    assert keys_of("docs/gate.md", "key") == of_visit | {"kind"}


def test_the_guide_to_rules_names_every_key_of_a_reading() -> None:
    assert keys_of("docs/rules.md", "key of a reading") == set(KEYS)
