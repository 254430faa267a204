"""Positions that cannot be right are named with what to do; a system is never guessed."""

from typing import Any

import pytest

from registry.errors import FileError
from registry.imports.column_map import ColumnMap
from registry.imports.fields import SITES
from registry.imports.positions import Positions
from registry.imports.row_keys import RowKeys
from registry.imports.rows import RowReader, Rows
from registry.imports.sheet import KEY, Sheet
from registry.records.places import Box

BOX = Box(-141.0, 44.0, -140.0, 45.0)


def rows(*positions: tuple[Any, Any], **columns: list[str]) -> Rows:
    """Rows of a table with these positions."""
    cells = {"lon": [str(x) for x, _ in positions], "lat": [str(y) for _, y in positions]}
    sheet = Sheet(
        numbers=list(range(2, len(positions) + 2)),
        columns=cells | columns,
        raw=[[]] * len(positions),
    )
    names = {name: name for name in sheet.columns if name != KEY}
    return RowReader("f.csv", SITES, ColumnMap(columns=names)).read(sheet)


def wrong(found: Rows, row: int = 0) -> str:
    """What is wrong with a row."""
    return " ".join(str(one) for one in found.complaints(row))


def test_degrees_without_a_named_system_are_wgs_84_and_that_is_told() -> None:
    positions = Positions(file_name="f.csv")
    assert positions.place(rows((-140.5, 44.5), ("", ""))) == ([-140.5, None], [44.5, None])
    assert "read as longitude and latitude on WGS 84" in positions.notes[0]


def test_numbers_that_are_no_degrees_are_asked_about() -> None:
    with pytest.raises(FileError, match=r"Say it, for example --crs EPSG:2913"):
        Positions(file_name="f.csv").place(rows((7_600_000, 680_000), (7_600_100, 680_000)))


def test_a_named_system_is_transformed() -> None:
    """Oregon North (intl ft), point from PROJ by pyproj: 45.5° N, 122.6° W within a foot."""
    import pyproj

    x, y = pyproj.Transformer.from_crs(4326, 2913, always_xy=True).transform(-122.6, 45.5)
    positions = Positions(file_name="f.csv", crs="EPSG:2913")
    (lon,), (lat,) = positions.place(rows((x, y)))
    assert (lon, lat) == pytest.approx((-122.6, 45.5), abs=1e-7)


def test_a_system_that_is_not_known_is_refused() -> None:
    for name in ("EPSG:0", "bunny", "EPSG:5703"):
        with pytest.raises(FileError, match=r"coordinate system|no system of places"):
            Positions(file_name="f.csv", crs=name).place(rows((-140.5, 44.5)))


@pytest.mark.parametrize(
    ("position", "box", "said"),
    [
        ((44.5, -140.5), None, "longitude and latitude are swapped"),
        ((44.5, -73.5), Box(-74, 44, -73, 45), "longitude and latitude are swapped"),
        ((140.5, 44.5), BOX, "lacks its minus sign"),
        ((-142.0, 44.5), BOX, "outside the jurisdiction's box"),
        ((-200.0, 44.5), None, "no longitude and latitude"),
        ((-140.5, 95.0), BOX, "no longitude and latitude"),
        ((1_300_000, 44.5), None, "are no degrees"),
        ((-140.5, ""), None, "half of the position is missing"),
        ((-140.5, "44.5N"), None, "is no number"),
        (("1e999", 44.5), None, "is outside"),
    ],
)
def test_a_position_that_cannot_be_right_is_named(
    position: tuple[Any, Any], box: Box | None, said: str
) -> None:
    others = [((-140.5 if box is not BOX else -140.4), 44.5)] * 3 if box in {None, BOX} else []
    found = rows(position, *others)
    lon, lat = Positions(file_name="f.csv", box=box).place(found)
    assert (lon[0], lat[0]) == (None, None)
    assert said in wrong(found)
    assert len(found.faults) == 1


def test_a_swap_is_seen_by_comparison_with_the_other_rows() -> None:
    found = rows(*[(-73.2 + n / 100, 44.4) for n in range(9)], (44.41, -73.15))
    Positions(file_name="f.csv").place(found)
    assert list(found.faults) == [9]
    assert "swapped" in wrong(found, 9)


def test_a_whole_file_in_the_antarctic_is_swapped() -> None:
    found = rows((44.4, -73.2), (44.5, -73.1))
    Positions(file_name="f.csv").place(found)
    assert len(found.faults) == 2


def test_zero_zero_is_no_position() -> None:
    found = rows((0, 0), (-140.5, 44.5))
    assert Positions(file_name="f.csv").place(found)[0] == [None, -140.5]
    assert not found.faults


def test_a_wrong_system_is_noticed_by_the_area_it_is_made_for() -> None:
    """British grid coordinates read as UTM zone 10 north come out in the Pacific."""
    found = rows((400_000, 100_000))
    Positions(file_name="f.csv", crs="EPSG:26910").place(found)
    assert "outside the area that NAD83 / UTM zone 10N is made for" in wrong(found)


def test_each_row_is_held_to_the_box_of_its_own_jurisdiction() -> None:
    found = rows((-140.5, 44.5), (-140.5, 44.5), jurisdiction=["North", "South"])
    boxes = {"North": BOX, "South": Box(-141, 40, -140, 41)}
    Positions(file_name="f.csv", boxes=boxes).place(found)
    assert list(found.faults) == [1]


def test_rows_that_repeat_a_key_are_told_apart_by_order() -> None:
    keys = RowKeys(("key",))
    found = rows(*[("", "")] * 5, key=["K", "K", "K (2)", "K", "L"])
    assert keys.of(found) == ["K", "K (2)", "K (2) (2)", "K (3)", "L"]
    assert keys.of(rows(("", ""), key=["L"])) == ["L (2)"]
    assert "3 keys stand in more than one row: K (rows 2, 3, 5)" in keys.warnings()[0]


def test_rows_that_name_other_systems_keep_their_key() -> None:
    keys = RowKeys(("key",))
    found = rows(*[("", "")] * 6, key=["K", "K", "K", "L", "L", "L"])
    assert keys.of(found, ["A", "B", "B", "", "2", ""]) == ["K", "K", "K (2)", "L", "L", "L (2)"]
    assert "2 keys stand in more than one row: K (rows 2, 4), L" in keys.warnings()[0]


def test_mended_rows_of_one_key_may_name_other_systems() -> None:
    found = rows(*[("", "")] * 3, key=["K"] * 3, **{KEY: ["K"] * 3})
    assert RowKeys(("key",)).of(found, ["A", "B", "B"]) == ["K", "K", "K"]
    assert list(found.faults) == [2]


def test_several_columns_make_one_key_and_an_empty_one_is_told() -> None:
    found = rows(("", ""), ("", ""), permit=["P", "P"], unit=["1", ""])
    assert RowKeys(("permit", "unit")).of(found) == ["P / 1", ""]
    assert "the key is empty" in wrong(found, 1)


def test_a_mended_row_keeps_the_key_that_it_had() -> None:
    found = rows(("", ""), ("", ""), key=["K", "K"], **{KEY: ["K (3)", ""]})
    assert RowKeys(("key",)).of(found) == ["K (3)", "K"]


def test_the_same_mended_key_twice_is_told() -> None:
    found = rows(("", ""), ("", ""), key=["K", "K"], **{KEY: ["K (3)", "K (3)"]})
    RowKeys(("key",)).of(found)
    assert list(found.faults) == [1]
    assert "it stands in row 2 too" in wrong(found, 1)


@pytest.mark.parametrize("key", ["a\nb", "a\x00b", "x" * 300, "=A1"])
def test_a_key_that_is_no_key_is_told(key: str) -> None:
    found = rows(("", ""), key=[key])
    RowKeys(("key",)).of(found)
    assert list(found.faults) == [0]
