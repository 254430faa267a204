import csv
import io

import pytest

from registry.report.csv_text import csv_text


def test_quotes_commas_and_newlines_come_back_as_they_were() -> None:
    """RFC 4180: fields in quotes, quotes doubled, CRLF line ends."""
    row = {"a": 'says "hello", then\nleaves', "b": "00123"}
    text = csv_text(("a", "b"), [row])
    assert text.startswith("a,b\r\n")
    assert list(csv.DictReader(io.StringIO(text, newline=""))) == [row]


@pytest.mark.parametrize("cell", ["=1+1", "+1+1", "-2+3", "@SUM(A1)", "\t=1", "\r=1"])
def test_text_that_a_spreadsheet_would_run_is_made_harmless(cell: str) -> None:
    """OWASP, "CSV injection": cells that begin with = + - @ tab or CR are run."""
    assert csv_text(("a",), [{"a": cell}]).splitlines()[1].strip('"').startswith("'")


@pytest.mark.parametrize("cell", [-1.5, "-1.5", "+3", 7])
def test_numbers_keep_their_sign(cell: object) -> None:
    assert csv_text(("a",), [{"a": cell}]).split("\r\n")[1] == str(cell)


def test_a_missing_value_is_an_empty_cell() -> None:
    assert csv_text(("a", "b"), [{"a": None}]) == "a,b\r\n,\r\n"
