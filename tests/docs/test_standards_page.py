"""docs/standards.md claims only what a check of ours holds."""

import re

import pytest

from tests.docs.tables import ROOT, rows

CLAIMS = [
    (standard, check.strip("`")) for standard, _, _, check in rows("docs/standards.md", "standard")
]


@pytest.mark.parametrize(("standard", "check"), CLAIMS)
def test_the_check_of_a_standard_exists_and_tests_something(standard: str, check: str) -> None:
    text = (ROOT / check).read_text(encoding="utf-8")
    assert re.search(r"^def test_", text, re.MULTILINE)
    named = re.search(r"RFC \d+|GPX 1\.1|OWASP|OGC [\d-]+|WCAG|JTS", standard)
    assert named is None or named[0] in text
