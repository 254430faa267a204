"""CQL2 text, OGC 21-065r2: its own examples and grammar, read into conditions.

The examples are those of the standard's clauses on comparison, LIKE, BETWEEN, IN and IS NULL and of
the folder ``examples/text`` that the OGC publishes beside it; both from memory, so the names of
columns are the standard's and the values its or like its.
"""

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from registry.errors import RangeError
from registry.records.feature_filter import (
    Alike,
    All,
    Always,
    Compared,
    Either,
    Empty,
    Not,
    OneOf,
    columns_of,
)
from registry.records.features import Column, ColumnKind
from web.features.cql2 import DEEPEST, LONGEST, MOST_WILD, condition_in

TEXT, NUMBER, YES_NO, DATE = (
    ColumnKind.TEXT,
    ColumnKind.NUMBER,
    ColumnKind.YES_NO,
    ColumnKind.DATE,
)
COLUMNS = {
    name: Column(name, kind, "")
    for name, kind in {
        "city": TEXT,
        "eo:instrument": TEXT,
        "landsat:scene_id": TEXT,
        "mission": TEXT,
        "owner": TEXT,
        "name": TEXT,
        "floors": NUMBER,
        "taxes": NUMBER,
        "depth": NUMBER,
        "eo:cloud_cover": NUMBER,
        "pop": NUMBER,
        "swimming_pool": YES_NO,
        "geophys:valid": YES_NO,
        "updated": DATE,
        "built": DATE,
    }.items()
}
EXAMPLES = {
    "city='Toronto'": Compared("city", "=", "Toronto"),
    "owner<>'Jane Doe'": Compared("owner", "<>", "Jane Doe"),
    "floors>5": Compared("floors", ">", 5.0),
    "taxes<=500": Compared("taxes", "<=", 500.0),
    "taxes>=5.0E2": Compared("taxes", ">=", 500.0),
    "floors<10.5": Compared("floors", "<", 10.5),
    "swimming_pool=true": Compared("swimming_pool", "=", True),
    "built = DATE('2015-01-01')": Compared("built", "=", date(2015, 1, 1)),
    "landsat:scene_id = 'LC82030282019133LGN00'": Compared(
        "landsat:scene_id", "=", "LC82030282019133LGN00"
    ),
    "eo:instrument LIKE 'OLI%'": Alike("eo:instrument", "OLI%"),
    "eo:instrument NOT LIKE 'OLI%'": Not(Alike("eo:instrument", "OLI%")),
    "name LIKE 'mike\\''": Alike("name", "mike'"),
    "owner LIKE '%O''Brien%'": Alike("owner", "%O'Brien%"),
    "depth BETWEEN 100.0 and 150.0": All(
        (Compared("depth", ">=", 100.0), Compared("depth", "<=", 150.0))
    ),
    "eo:cloud_cover BETWEEN 0.1 AND 0.2": All(
        (Compared("eo:cloud_cover", ">=", 0.1), Compared("eo:cloud_cover", "<=", 0.2))
    ),
    "city IN ('Toronto','Franfurt','Tokyo','New York')": OneOf(
        "city", ("Toronto", "Franfurt", "Tokyo", "New York")
    ),
    "floors not in (5, 6)": Not(OneOf("floors", (5.0, 6.0))),
    "geophys:valid IS NOT NULL": Not(Empty("geophys:valid")),
    "owner is null": Empty("owner"),
    "(floors>5) AND (swimming_pool=TRUE)": All(
        (Compared("floors", ">", 5.0), Compared("swimming_pool", "=", True))
    ),
    "swimming_pool=true AND (floors>5 OR city LIKE 'T%')": All(
        (
            Compared("swimming_pool", "=", True),
            Either((Compared("floors", ">", 5.0), Alike("city", "T%"))),
        )
    ),
    "NOT (floors<5) OR TRUE": Either((Not(Compared("floors", "<", 5.0)), Always(holds=True))),
    "floors=1 OR floors=2 AND depth=-3": Either(
        (
            Compared("floors", "=", 1.0),
            All((Compared("floors", "=", 2.0), Compared("depth", "=", -3.0))),
        )
    ),
    "\"city\" = 'Zürich'": Compared("city", "=", "Zürich"),
}
REFUSED = {
    "": "at its end",
    "city": "comparison",
    "city =": "value",
    "city = Toronto": "columns are not compared",
    "city = 5": "no string for city",
    "floors = 'five'": "no number for floors",
    "floors = 1e999": "no number for floors",
    "swimming_pool > TRUE": "= or <>",
    "updated = DATE('2015-02-30')": "no date for updated",
    "updated = TIMESTAMP('2012-08-10T05:30:00Z')": "stands where a value must",
    "5 < floors": "the name of a column",
    "secret = 'x'": "no column “secret”",
    "avg(floors) > 4": "Functions",
    "floors LIKE '5%'": "LIKE compares text",
    "city BETWEEN 'A' AND 'B'": "BETWEEN asks for numbers",
    "(floors = 5": "at its end",
    "floors = 5 floors": "AND, OR or the end",
    "city = 'Toronto": "cannot be read at sign 8",
    "floors = 5; DROP TABLE site": "cannot be read",
    "city IN ()": "value",
    "NOT NOT floors = 1": "the name of a column",
    "(" * (DEEPEST + 1) + "floors = 1" + ")" * (DEEPEST + 1): "brackets",
    "city LIKE '" + "%a" * (MOST_WILD + 1) + "'": "wildcards",
    "floors = 1 OR " * LONGEST + "TRUE": "signs at most",
}


@pytest.mark.parametrize("said", EXAMPLES)
def test_an_example_of_the_standard_is_read_as_it_means(said: str) -> None:
    found = condition_in(said, COLUMNS)
    assert found == EXAMPLES[said]
    assert columns_of(found) <= set(COLUMNS)


@pytest.mark.parametrize("said", REFUSED)
def test_what_is_no_filter_here_is_refused_with_a_sentence(said: str) -> None:
    with pytest.raises(RangeError, match=REFUSED[said]):
        condition_in(said, COLUMNS)


PIECES = (
    *(*COLUMNS, "AND", "OR", "NOT", "LIKE", "IN", "BETWEEN", "IS", "NULL", "DATE", "(", ")", ","),
    *("=", "<>", "<", ">=", "'a'", "'it''s'", "'", '"', "\\", "1", "-2.5e3", "TRUE", "ß"),
    "'2026-06-15'",
)


@given(st.lists(st.sampled_from(PIECES), max_size=25).map(" ".join) | st.text(max_size=60))
@settings(max_examples=150, deadline=None)
def test_any_text_is_read_or_refused(said: str) -> None:
    try:
        found = condition_in(said, COLUMNS)
    except RangeError:
        return  # in a sentence, as above
    assert columns_of(found) <= set(COLUMNS)
