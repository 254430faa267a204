"""docs/gate.md names every rule, and every key of a record."""

import re
from dataclasses import fields
from datetime import UTC, datetime

import pytest

from registry.due.reading_file import KEYS
from registry.errors import RangeError
from registry.field.photos import read_photo
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
    assert keys_of("docs/gate.md", "key") == of_visit | {"kind", "off_route"}


def test_the_guide_to_rules_names_every_key_of_a_reading() -> None:
    assert keys_of("docs/rules.md", "key of a reading") == set(KEYS)


def test_the_keys_of_a_photo_are_those_that_are_read() -> None:
    told = keys_of("docs/gate.md", "key of a photo")
    body = dict.fromkeys(told, "x" * 3000)
    with pytest.raises(RangeError) as wrong:
        read_photo(body, "", datetime(2026, 6, 15, tzinfo=UTC), "UTC")
    assert {re.findall("“(.+?)”", line)[0] for line in str(wrong.value).splitlines()} == (
        told - {"preview"}  # one that does not fit is left out, and the photo is kept
    )
