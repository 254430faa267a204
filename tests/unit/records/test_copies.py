"""Every value comes back from a copy's cell as it was, to the bit."""

import struct
from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.records.copies import FROM_CELL, NULL, TO_CELL

TEXTS = st.text(st.characters(exclude_characters="\0", exclude_categories=["Cs"]))
VALUES = {
    "text": TEXTS | st.sampled_from(["", "\\", "\\N", "\\\\N", 'a,"b"\r\nc', "=1+1", "🚰 é"]),
    "json": TEXTS,
    "integer": st.integers(-(2**63), 2**63 - 1),
    "yes or no": st.booleans(),
    "date": st.dates(),
    "geometry": st.binary(),
}


@given(st.data())
@pytest.mark.parametrize("kind", VALUES)
def test_what_is_written_is_read_as_the_same(kind: str, data: st.DataObject) -> None:
    value: Any = data.draw(VALUES[kind])
    cell = TO_CELL[kind](value)
    assert cell != NULL
    assert FROM_CELL[kind](cell) == value


@given(st.floats(allow_nan=False))
def test_a_number_comes_back_to_the_bit(value: float) -> None:
    """Negative zero, subnormal numbers and infinity too; bits as IEEE 754 lays them out."""
    back = FROM_CELL["number"](TO_CELL["number"](value))
    assert struct.pack(">d", back) == struct.pack(">d", value)


@given(st.datetimes(timezones=st.sampled_from([UTC, timezone(timedelta(hours=-10, minutes=-30))])))
def test_a_moment_comes_back_in_utc(value: datetime) -> None:
    if not datetime(1, 1, 3, tzinfo=UTC) < value < datetime(9999, 12, 29, tzinfo=UTC):
        return
    cell = TO_CELL["moment"](value)
    assert cell.endswith("Z")
    assert FROM_CELL["moment"](cell) == value


def test_a_date_of_an_early_year_has_four_digits() -> None:
    assert TO_CELL["date"](date(987, 6, 5)) == "0987-06-05"


@pytest.mark.parametrize(("kind", "value"), [("text", "a\0b"), ("number", float("nan"))])
def test_what_not_every_store_takes_is_refused(kind: str, value: Any) -> None:
    with pytest.raises(ValueError, match=r"NUL|NaN"):
        TO_CELL[kind](value)


@pytest.mark.parametrize(
    ("kind", "cell"),
    [
        ("text", "\\x"),
        ("text", "a\0"),
        ("integer", "1.5"),
        ("integer", str(2**63)),
        ("number", "nan"),
        ("number", "1,5"),
        ("yes or no", "True"),
        ("date", "2026-02-30"),
        ("moment", "2026-06-15T12:00:00"),
        ("moment", "noon"),
        ("geometry", "0g"),
    ],
)
def test_a_cell_of_another_kind_is_refused(kind: str, cell: str) -> None:
    with pytest.raises((ValueError, KeyError)):
        FROM_CELL[kind](cell)
