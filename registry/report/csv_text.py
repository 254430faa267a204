"""Rows as CSV (RFC 4180) that a spreadsheet cannot run."""

import csv
import io
import re
from collections.abc import Iterable, Mapping, Sequence

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A cell that begins so is run as a formula by common spreadsheets."""
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?([eE][+-]?\d+)?")


def csv_text(columns: Sequence[str], rows: Iterable[Mapping[str, object]]) -> str:
    """Return a header and rows as CSV: CRLF, quotes doubled, formula-like text made harmless.

    Numbers keep their sign; text that begins like a formula gets an apostrophe before it.
    """
    out = io.StringIO(newline="")
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row.get(name)) for name in columns])
    return out.getvalue()


def _cell(value: object) -> str:
    if value is None:
        return ""
    text = str(value)
    if isinstance(value, str) and text.startswith(FORMULA_STARTS) and not _NUMBER.fullmatch(text):
        return "'" + text
    return text
