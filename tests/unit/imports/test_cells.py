"""Cells as text, numbers, dates and words: what is taken, and what is named as wrong."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.errors import ConfigError
from registry.imports.cells import Fault, fault_in, faults_in_text, trimmed
from registry.imports.dates import DateColumn
from registry.imports.fields import SITES, Field
from registry.imports.numbers import factor, numbers
from registry.imports.words import hazards, minutes, month_day, weekdays, yes_no
from registry.units import FT_PER_M, GAL_PER_FT3, L_PER_GAL

FLOW = Field(name="design_flow_gpd", kind="number", unit="gpd", high=1e6)
COUNT = Field(name="count", kind="count", high=1e6)


@pytest.mark.parametrize("cell", ["", " ", "\u00a0", "n/a", "N/A", "NULL", "<Null>", "none", "-"])
def test_what_means_nothing_is_an_empty_cell(cell: str) -> None:
    assert trimmed([cell]) == [""]


def test_a_name_may_be_a_word_that_means_nothing_elsewhere() -> None:
    assert trimmed(["Null", "None ", "Na"], keep_words=True) == ["Null", "None", "Na"]


@pytest.mark.parametrize(
    ("cell", "said"),
    [
        ("=A2&B2", "formula"),
        ('=HYPERLINK("http://x")', "formula"),
        ("@SUM(A1)", "formula"),
        ("+SUM(A1:A9)", "formula"),
        ("-cmd|' /C calc'!A0", "formula"),
        ("a\x07b", "U\\+0007"),
        ("a\x85b", "U\\+0085"),
        ("a\u202eb", "U\\+202E"),
        ("a\ufffdb", "letters lost"),
        ("a\udce9b", "no letters in the file's encoding"),
        ("MÃ¼ller", "wrong encoding"),
        ("Müllerâ€™s", "wrong encoding"),
    ],
)
def test_text_that_must_not_stand_in_a_cell_is_named(cell: str, said: str) -> None:
    assert fault_in(cell) is not None
    (fault,) = faults_in_text(["fine", cell, "also fine"]).items()
    assert fault[0] == 1
    import re

    assert re.search(said, fault[1].wrong)


@pytest.mark.parametrize(
    "cell", ["+1 555 0100", "-12.5", "- dog", "+", "a = b", "two\nlines", "tab\there", "Grüße", "±"]
)
def test_plain_text_is_left_alone(cell: str) -> None:
    assert faults_in_text([cell]) == {}


@pytest.mark.parametrize(
    ("cell", "value"),
    [("2.0", 2.0), ("1,250", 1250.0), ("1,250.5", 1250.5), (" 7 ", 7.0), (".5", 0.5), ("1e3", 1e3)],
)
def test_numbers_are_read_as_people_write_them(cell: str, value: float) -> None:
    assert numbers([cell], FLOW) == ([value], {})


@pytest.mark.parametrize(
    "cell", ["12,5", "1_000", "0x10", "nan?", "3 gpd", "inf", "1e999", "٣", "-1", "2e6", "37°36'"]
)
def test_what_is_no_number_or_out_of_range_is_named(cell: str) -> None:
    values, faults = numbers(["5", cell, ""], FLOW)
    assert values == [5.0, None, None]
    assert list(faults) == [1]


def test_a_decimal_comma_is_taken_where_the_map_says_so() -> None:
    assert numbers(["1.250,5", "3"], FLOW, decimal=",")[0] == [1250.5, 3.0]


def test_a_count_is_a_whole_number() -> None:
    values, faults = numbers(["2", "2.5"], COUNT)
    assert values == [2.0, None]
    assert "no whole number" in faults[1].wrong


@pytest.mark.parametrize(
    ("field", "unit", "times"),
    [
        (FLOW, "L/d", 1 / L_PER_GAL),
        (FLOW, "m3/d", 1000 / L_PER_GAL),
        (FLOW, "gpm", 1440.0),
        (Field(name="length_ft", unit="ft"), "m", FT_PER_M),
        (Field(name="cover_in", unit="in"), "cm", 1 / 2.54),
        (Field(name="capacity_gal", unit="gal"), "ft3", GAL_PER_FT3),
    ],
)
def test_units_are_brought_into_ours(field: Field, unit: str, times: float) -> None:
    assert factor(field, unit) == pytest.approx(times, rel=1e-12)


def test_a_unit_that_does_not_fit_is_told() -> None:
    with pytest.raises(ConfigError, match="Known here: gpd, L/d, m3/d, gpm"):
        factor(FLOW, "furlong")


@given(st.lists(st.floats(0, 1e6, allow_nan=False) | st.none(), max_size=20))
def test_numbers_come_back_from_their_text(values: list[float | None]) -> None:
    cells = ["" if one is None else repr(one) for one in values]
    assert numbers(cells, FLOW) == (values, {})


@pytest.mark.parametrize(
    "cell",
    ["2026-06-05", "2026-6-5", "2026/06/05", "20260605", "2026-06-05T00:00:00", "5 June 2026",
     "5-Jun-2026", "June 5, 2026", "Jun 5 2026"],
)  # fmt: skip
def test_dates_that_can_be_read_in_one_way_are_taken(cell: str) -> None:
    assert DateColumn().read([cell]) == ([date(2026, 6, 5)], {})


def test_a_column_proves_its_order_by_its_own_days() -> None:
    american = DateColumn().read(["9/25/2017", "3/4/2018"])
    assert american == ([date(2017, 9, 25), date(2018, 3, 4)], {})
    european = DateColumn().read(["25.9.2017", "3.4.2018"])
    assert european == ([date(2017, 9, 25), date(2018, 4, 3)], {})


def test_an_order_that_nothing_proves_is_not_guessed() -> None:
    values, faults = DateColumn().read(["3/4/2018", "5/5/2018"])
    assert values == [None, date(2018, 5, 5)]
    assert "day first or month first" in faults[0].wrong
    assert DateColumn("D/M/Y").read(["3/4/2018"]) == ([date(2018, 4, 3)], {})


def test_an_order_that_rows_contradict_is_not_guessed() -> None:
    _, faults = DateColumn().read(["25/9/2017", "9/25/2017", "1/2/2018"])
    assert set(faults) == {0, 1, 2}


@pytest.mark.parametrize(
    "cell",
    ["2026-02-30", "43000", "6/5/26", "soon", "1066-10-14", "3026-01-01", "2026", "13/13/2020"],
)
def test_what_is_no_date_is_named(cell: str) -> None:
    values, faults = DateColumn().read([cell])
    assert values == [None]
    assert list(faults) == [0]


def test_a_year_alone_is_taken_where_the_map_says_so() -> None:
    assert DateColumn("Y").read(["1987", ""]) == ([date(1987, 1, 1), None], {})
    with pytest.raises(ConfigError, match="Write one of Y-M-D, M/D/Y, D/M/Y, Y"):
        DateColumn("%d")


def test_words_of_many_spellings() -> None:
    assert [yes_no(one) for one in ("Yes", "x", "0", "")] == [True, True, False, None]
    assert hazards("dog: loose; rotten lid") == [
        {"kind": "dog", "note": "loose"},
        {"kind": "rotten lid", "note": ""},
    ]
    assert month_day("5/1") == "05-01"
    assert weekdays("mon-fri") == (0, 1, 2, 3, 4)
    assert weekdays("Sat - Mon") == (0, 5, 6)
    assert weekdays("Tue, thu;fri") == (1, 3, 4)
    assert weekdays("daily") == (0, 1, 2, 3, 4, 5, 6)


@pytest.mark.parametrize(
    ("cell", "value"),
    [("08:00", 480), ("8:30 am", 510), ("12:00 am", 0), ("12:15 PM", 735), ("5pm", 1020),
     ("17:00:00", 1020), ("24:00", 1440), ("0830", 510)],
)  # fmt: skip
def test_hours_are_minutes_after_midnight(cell: str, value: int) -> None:
    assert minutes(cell) == value


@pytest.mark.parametrize("cell", ["25:00", "8", "13 pm", "noon", "24:30", "8:61"])
def test_what_is_no_hour_is_named(cell: str) -> None:
    assert isinstance(minutes(cell), Fault)


@pytest.mark.parametrize("read", [month_day, weekdays, yes_no])
def test_nonsense_is_named(read: object) -> None:
    assert isinstance(read("02-30 or so"), Fault)  # type: ignore[operator]


def test_every_field_of_a_site_file_has_a_name_of_its_own() -> None:
    names = [one.name for one in SITES]
    assert len(set(names)) == len(names)
