"""Zip files are unpacked with care."""

import zipfile
from pathlib import Path

import pytest

from registry.errors import FileError
from registry.imports.limits import Limits
from registry.imports.opening import Reading
from tests.unit.imports import files


def test_a_zipped_csv_is_read_and_named_with_its_zip(tmp_path: Path) -> None:
    from registry.imports.opening import opened

    with opened(files.zipped(tmp_path, sites__csv=b"key\nA-1\n")) as source:
        assert source.name == "sites.zip: sites.csv"
        assert next(source.sheets()).columns == {"key": ["A-1"]}


def test_of_several_files_one_is_chosen_by_its_name(tmp_path: Path) -> None:
    path = files.zipped(tmp_path, a__csv=b"key\nA\n", b__csv=b"key\nB\n")
    with pytest.raises(FileError, match=r"a\.csv, b\.csv"):
        files.read(path)
    (sheet,), _ = files.read(path, Reading(layer="b"))
    assert sheet.columns == {"key": ["B"]}


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ("../outside.csv", "leads outside"),
        ("/etc/sites.csv", "leads outside"),
        ("C:\\sites.csv", "leads outside"),
        ("inner.zip", "another packed file"),
        ("inner.tar.gz", "another packed file"),
        ("readme.pdf", "no file that is read here"),
    ],
)
def test_a_zip_that_holds_what_it_must_not_is_refused(
    tmp_path: Path, inside: str, said: str
) -> None:
    path = tmp_path / "sites.zip"
    with zipfile.ZipFile(path, "w") as archive:
        archive.writestr(inside, b"key\nA-1\n")
    with pytest.raises(FileError, match=said):
        files.read(path)
    assert {one.name for one in tmp_path.iterdir()} == {"sites.zip"}


def test_a_zip_bomb_is_refused_by_its_ratio(tmp_path: Path) -> None:
    path = files.zipped(tmp_path, sites__csv=b"key\n" + b"0" * 20_000_000)
    assert path.stat().st_size < 30_000
    with pytest.raises(FileError, match="zip bomb"):
        files.read(path)


def test_a_zip_that_lies_about_its_size_is_stopped_while_unpacking(tmp_path: Path) -> None:
    path = files.zipped(tmp_path, sites__csv=b"key\n" + b"0" * 50_000)
    content = bytearray(path.read_bytes())
    for mark, place in ((b"PK\x01\x02", 24), (b"PK\x03\x04", 22)):
        at = content.index(mark) + place
        content[at : at + 4] = (10).to_bytes(4, "little")
    path.write_bytes(content)
    limits = Limits(unpacked_bytes=1_000)
    with pytest.raises(FileError, match=r"unpacks to more|cannot be unpacked"):
        files.read(path, Reading(limits=limits))


def test_a_link_and_a_locked_file_are_refused(tmp_path: Path) -> None:
    path = tmp_path / "sites.zip"
    with zipfile.ZipFile(path, "w") as archive:
        entry = zipfile.ZipInfo("sites.csv")
        entry.external_attr = 0o120777 << 16
        archive.writestr(entry, "/etc/passwd")
    with pytest.raises(FileError, match="holds a link"):
        files.read(path)
    locked = bytearray(files.zipped(tmp_path, "locked.zip", sites__csv=b"key\nA\n").read_bytes())
    locked[locked.index(b"PK\x01\x02") + 8] |= 1
    (tmp_path / "locked.zip").write_bytes(locked)
    with pytest.raises(FileError, match="locked with a password"):
        files.read(tmp_path / "locked.zip")


def test_a_damaged_zip_and_a_file_that_is_too_large_are_told(tmp_path: Path) -> None:
    damaged = tmp_path / "sites.zip"
    damaged.write_bytes(b"PK\x03\x04 and nothing more")
    with pytest.raises(FileError, match="damaged or not a zip"):
        files.read(damaged)
    with pytest.raises(FileError, match="larger than"):
        files.read(files.csv(tmp_path, "key\nA\n"), Reading(limits=Limits(file_bytes=3)))


@pytest.mark.parametrize("name", ["sites.xlsx", "sites.dbf", "sites.gdb", "sites.pdf", "sites"])
def test_other_formats_are_told_what_to_do(tmp_path: Path, name: str) -> None:
    (tmp_path / name).write_bytes(b"anything")
    with pytest.raises(FileError, match="not of a kind that is read here"):
        files.read(tmp_path / name)
    with pytest.raises(FileError, match="There is no file"):
        files.read(tmp_path / "missing.csv")
