"""A column map says which column is what; what is wrong with it is told at once."""

from pathlib import Path

import pytest

from registry.errors import ConfigError
from registry.imports.column_map import ColumnMap, read_map, require_columns, written
from registry.imports.fields import SITES
from registry.imports.guess import guess
from registry.imports.rows import RowReader
from registry.imports.sheet import Sheet
from tests.unit.imports import files

WHOLE = ColumnMap(
    key=("PERMIT", "UNIT"),
    columns={"lon": "X", "lat": "Y", "kind": 'the "kind"'},
    constants={"position_source": "county inventory"},
    words={"kind": {"STU": "gravity"}},
    crs="EPSG:2913",
    units={"design_flow_gpd": "L/d"},
    dates={"installed_on": "M/D/Y"},
    decimal=",",
)


def sheet(**columns: list[str]) -> Sheet:
    """A sheet of a table."""
    count = len(next(iter(columns.values())))
    return Sheet(numbers=list(range(2, count + 2)), columns=columns, raw=[[]] * count)


def test_a_map_comes_back_as_it_was_written(tmp_path: Path) -> None:
    path = files.csv(tmp_path, written(WHOLE, ["a note\nof two lines"]), "map.toml")
    assert read_map(path, SITES) == WHOLE


def test_the_key_may_stand_among_the_fields(tmp_path: Path) -> None:
    path = files.csv(tmp_path, '[fields]\nkey = "TMK"\n', "map.toml")
    assert read_map(path, SITES).key == ("TMK",)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("key = 3", "key names one column"),
        ("[fields]\nlongitud = 'X'", "no field here. Known"),
        ("[fields]\nbedroms = 'X'", "Did you mean bedrooms"),
        ("[fields]\nlon = 3", "takes a column or"),
        ("[values.kind]\nSTU = 3", "maps words to words"),
        ("[units]\nbedrooms = 3", "takes texts"),
        ("[numbers]\ndecimal = ';'", "decimal is"),
        ("[colours]\nx = 'red'", "“colours” is no part of a map"),
        ("key = ", "is no TOML"),
    ],
)
def test_what_is_wrong_with_a_map_is_told(tmp_path: Path, text: str, said: str) -> None:
    with pytest.raises(ConfigError, match=said):
        read_map(files.csv(tmp_path, text, "map.toml"), SITES)


def test_all_that_is_wrong_is_told_at_once(tmp_path: Path) -> None:
    text = "key = 3\n[fields]\nlon = 3\n[units]\nbedrooms = 3\n"
    with pytest.raises(ConfigError) as told:
        read_map(files.csv(tmp_path, text, "map.toml"), SITES)
    assert all(one in str(told.value) for one in ("key names", "[fields] lon", "[units]"))


def test_columns_that_the_file_has_not_are_named() -> None:
    with pytest.raises(ConfigError, match=r"“UNIT”, “Y”, which sites\.csv has not"):
        require_columns(WHOLE, ["PERMIT", "X", 'the "kind"'], "sites.csv")


def test_words_of_the_map_must_be_ours() -> None:
    with pytest.raises(ConfigError, match="maps “STU” to “gravel”"):
        RowReader("f", SITES, ColumnMap(words={"kind": {"STU": "gravel"}}))


def test_columns_are_recognised_by_name_whatever_their_spelling() -> None:
    found = guess(
        sheet(**{"Site No.": ["1", "2"], "LONGITUDE": ["-140", "-141"], "Latitude": ["44", "45"],
                 "System-Type": ["mound", ""], "FID": ["0", "1"]}),
        ["Site No.", "LONGITUDE", "Latitude", "System-Type", "FID"], SITES, keyed=True,
    )  # fmt: skip
    assert found.map.key == ("Site No.",)
    assert found.map.columns == {"lon": "LONGITUDE", "lat": "Latitude", "kind": "System-Type"}
    assert found.unused == ["FID"]


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ({"beds": ["1"], "bdrms": ["2"]}, "bedrooms may be beds or bdrms"),
        ({"occupants": ["many", "few"]}, "occupants is not used as people"),
        ({"lon": ["-140"]}, "the other half is missing"),
        ({"id": ["1", "1"]}, "id is not used as the key: its cells repeat"),
        ({"id": ["1", "2"], "account": ["1", "2"]}, "The key may be account or id|id or account"),
    ],
)
def test_a_doubt_is_told_and_the_column_not_used(columns: dict[str, list[str]], said: str) -> None:
    import re

    found = guess(sheet(**columns), list(columns), SITES, keyed=True)
    assert re.search(said, " ".join(found.told()))
    assert not found.map.columns
    assert not found.map.key
