"""CSV files are read as they stand: encoding and delimiter found out, broken rows kept."""

import json
from pathlib import Path

import pytest

from registry.errors import FileError
from registry.imports.limits import Limits
from registry.imports.opening import Reading
from tests.unit.imports import files

SPECTRUM = "data/nasty/csv_spectrum"


@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_the_delimiter_is_found_out_and_told(tmp_path: Path, delimiter: str) -> None:
    text = "key,note\nA-1,one\nA-2,two; or three\n".replace(",", delimiter)
    if delimiter == ";":
        text = text.replace("two; or three", '"two; or three"')
    (sheet,), notes = files.read(files.csv(tmp_path, text))
    assert sheet.columns == {"key": ["A-1", "A-2"], "note": ["one", "two; or three"]}
    assert {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}[delimiter] in notes[0]


@pytest.mark.parametrize(
    ("encoding", "told"),
    [
        ("utf-8", "utf-8 (every byte fits)"),
        ("utf-8-sig", "utf-8-sig"),
        ("utf-16", "utf-16"),
        ("cp1252", "cp1252 (guessed"),
    ],
)
def test_the_encoding_is_found_out_and_told(tmp_path: Path, encoding: str, told: str) -> None:
    rows = "".join(f"A-{n},Müllers Höfe – Gänseweg {n}, früher Café\n" for n in range(30))
    text = "key,address,note\n" + rows
    (sheet,), notes = files.read(files.csv(tmp_path, text, encoding=encoding))
    assert sheet.columns["address"][0] == "Müllers Höfe – Gänseweg 0"
    assert told in notes[0]


def test_an_encoding_that_is_said_is_used(tmp_path: Path) -> None:
    path = files.csv(tmp_path, "key,note\nA-1,č\n", encoding="cp1250")
    (sheet,), _ = files.read(path, Reading(encoding="cp1250"))
    assert sheet.columns["note"] == ["č"]
    with pytest.raises(FileError, match="no encoding named klingon"):
        files.read(path, Reading(encoding="klingon"))


def test_ragged_rows_are_kept_with_their_number_and_the_good_ones_too(tmp_path: Path) -> None:
    (sheet,), _ = files.read(files.csv(tmp_path, "key,note\nA-1,x\nA-2\n\nA-3,y,z\nA-4,w\n"))
    assert sheet.numbers == [2, 6]
    assert [(one.number, one.raw) for one in sheet.broken] == [(3, ["A-2"]), (5, ["A-3", "y", "z"])]
    assert "1 cells, fewer than the 2 columns" in sheet.broken[0].wrong


def test_a_quotation_mark_left_open_is_told_and_does_not_swallow_the_file(tmp_path: Path) -> None:
    text = 'key,note\nA-1,"open\n' + "".join(f"A-{n},fine\n" for n in range(2, 60))
    (sheet,), _ = files.read(files.csv(tmp_path, text), Reading(limits=Limits(cell_chars=100)))
    assert "opened and not closed" in sheet.broken[0].wrong
    assert len(sheet) + len(sheet.broken) > 40


def test_blank_and_repeated_column_names_are_told_apart(tmp_path: Path) -> None:
    (sheet,), notes = files.read(files.csv(tmp_path, ",note,note\n0,a,b\n"))
    assert list(sheet.columns) == ["column 1", "note", "note (2)"]
    assert any("stands twice" in one for one in notes)


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "is empty"),
        (b"\n\n", "is empty"),
        (b"1,2,3\n4,5,6\n", "no column names"),
        (b"PK\x03\x04rest", "is no text"),
        (b"key,note\nA\x00,b\n", "bytes of value 0"),
    ],
)
def test_what_is_no_csv_is_refused_in_a_sentence(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "sites.csv"
    path.write_bytes(content)
    with pytest.raises(FileError, match=said):
        files.read(path)


def test_line_ends_inside_a_cell_stay_as_they_are(tmp_path: Path) -> None:
    (sheet,), _ = files.read(files.csv(tmp_path, 'key,note\r\nA-1,"one\r\ntwo"\r\n'))
    assert sheet.columns == {"key": ["A-1"], "note": ["one\r\ntwo"]}


def test_rows_come_in_parts_of_bounded_size(tmp_path: Path) -> None:
    path = files.csv(tmp_path, "key\n" + "".join(f"A-{n}\n" for n in range(25)))
    sheets, _ = files.read(path, Reading(limits=Limits(sheet_rows=10)))
    assert [len(one) for one in sheets] == [10, 10, 5]
    assert sheets[2].numbers == [22, 23, 24, 25, 26]


@pytest.mark.parametrize(
    "name",
    [
        "comma_in_quotes",
        "empty",
        "empty_crlf",
        "escaped_quotes",
        "json",
        "location_coordinates",
        "newlines",
        "newlines_crlf",
        "quotes_and_newlines",
        "simple",
        "simple_crlf",
        "utf8",
    ],
)
def test_the_csv_spectrum_is_read_as_published(reference_data: Path, name: str) -> None:
    """Max Ogden's csv-spectrum, commit d30e80f: each CSV with the JSON that it must give."""
    expected = json.loads((reference_data / SPECTRUM / "json" / f"{name}.json").read_text())
    (sheet,), _ = files.read(reference_data / SPECTRUM / "csvs" / f"{name}.csv")
    turned = zip(*sheet.columns.values(), strict=True)
    rows = [dict(zip(sheet.columns, one, strict=True)) for one in turned]
    told = expected if isinstance(expected, list) else [expected]
    if name == "location_coordinates":  # its JSON holds another telephone number than its CSV
        for one in (*told, *rows):
            one.pop(next(iter(one)))
    if name == "newlines_crlf":  # the copy of its CSV has lost its CRLF, its JSON has not
        told = [{k: v.replace("\r\n", "\n") for k, v in one.items()} for one in told]
    assert rows == told
