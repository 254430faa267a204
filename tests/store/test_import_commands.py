"""The import commands: exit codes, one JSON document, and no traceback whatever the file is."""

import json
from pathlib import Path
from typing import Any

import pytest

from registry.cli.endings import run_with_clear_endings
from registry.cli.main import cli
from registry.store import open_store
from tests.store.importing import table_counts
from tests.unit.imports import files

GOOD = "key,lon,lat,kind\nA-1,-140.5,44.5,mound\n"


@pytest.fixture(autouse=True)
def an_empty_folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Commands write rejects where they run."""
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")


def run(capsys: pytest.CaptureFixture[str], *args: object) -> tuple[int, str, str]:
    """Run a command; return its exit code and what it printed on stdout and stderr."""
    code = run_with_clear_endings(cli, [str(one) for one in args])
    told = capsys.readouterr()
    return code, told.out, told.err


def counted(out: str) -> tuple[int, ...]:
    """The counts of one JSON document."""
    said: dict[str, Any] = json.loads(out)
    return tuple(said[one] for one in ("read", "added", "changed", "unchanged", "rejected"))


def test_a_good_file_ends_with_0_and_a_bad_row_with_1(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, store_url: str
) -> None:
    path = files.csv(tmp_path, GOOD)
    code, out, err = run(capsys, "import", "sites", path, "--store", store_url, "--json")
    assert (code, counted(out)) == (0, (1, 1, 0, 0, 0))
    assert json.loads(out)["rejects_file"] is None
    assert "Read as CSV" in err
    files.csv(tmp_path, GOOD + "A-2,,,gravity\n")
    code, out, err = run(capsys, "import", "sites", path, "--store", store_url, "--json")
    assert (code, counted(out)) == (1, (2, 0, 0, 1, 1))
    rejects = Path(json.loads(out)["rejects_file"])
    assert rejects.parent == tmp_path / "here"
    assert "sites.csv, row 3" in err
    code, out, err = run(capsys, "import", "sites", path, "--store", store_url)
    assert code == 1
    assert out.startswith("Read 2: 0 added, 0 changed, 1 unchanged, 1 rejected.")
    assert "sites.rejects-2.csv" in out


@pytest.mark.parametrize(
    ("args", "said"),
    [
        (["sites", "missing.csv"], "There is no file"),
        (["sites", "nokey.csv"], "Name it as key in a column map"),
        (["sites", "feet.csv"], "--crs EPSG:2913"),
        (["sites", "good.csv", "--map", "missing.toml"], "cannot be opened"),
        (["components", "nokey.csv"], "has no column for site"),
        (["flood", "good.csv"], "no flood layer"),
        (["crew", "good.csv"], "is no TOML"),
        (["everything", "good.csv"], "No such command"),
    ],
)
def test_wrong_use_ends_with_2_and_one_clear_sentence(
    capsys: pytest.CaptureFixture[str], sqlite_url: str, args: list[str], said: str
) -> None:
    files.csv(Path.cwd(), GOOD, "good.csv")
    files.csv(Path.cwd(), "name\nA\n", "nokey.csv")
    files.csv(Path.cwd(), "key,x,y\nA,7600000,680000\n", "feet.csv")
    code, out, err = run(capsys, "import", *args, "--store", sqlite_url)
    assert (code, out) == (2, "")
    assert said in err
    assert "Traceback" not in err


def test_a_bar_is_shown_for_slow_work_only(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    from registry.cli import import_options

    with import_options.bar("Importing sites") as progress:
        progress(1, 10)
    assert capsys.readouterr() == ("", "")
    monkeypatch.setattr(import_options, "QUIET_S", -1.0)
    with import_options.bar("Importing sites") as progress:
        progress(5, 10)
        progress(12, 10)
    out, err = capsys.readouterr()
    assert out == ""
    assert "Importing sites" in err


def test_without_a_store_the_way_to_one_is_told(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    path = files.csv(tmp_path, GOOD)
    url = f"sqlite:///{tmp_path / 'new.sqlite'}"
    code, _, err = run(capsys, "import", "sites", path, "--store", url)
    assert code == 2
    assert "riserway store create" in err
    assert run(capsys, "store", "create", "--store", url)[0] == 0
    assert run(capsys, "import", "sites", path, "--store", url)[0] == 0


def test_a_store_is_made_once_and_checked(
    capsys: pytest.CaptureFixture[str], bare_store_url: str
) -> None:
    from registry.store.migrate import newest

    at = ("--store", bare_store_url)
    code, out, _ = run(capsys, "store", "check", "--json", *at)
    assert code == 1
    assert json.loads(out)["problems"] == [
        "There is no store here yet. Make one with: riserway store create."
    ]
    assert run(capsys, "store", "upgrade", *at)[0] == 2
    assert "Made a store" in run(capsys, "store", "create", *at)[2]
    assert "There is already a store" in run(capsys, "store", "create", *at)[2]
    assert run(capsys, "store", "upgrade", *at)[0] == 0
    code, out, _ = run(capsys, "store", "check", "--json", *at)
    said = json.loads(out)
    assert (code, said["problems"], said["sites"]) == (0, [], 0)
    assert said["revision"] == newest()
    assert said["dialect"] in {"sqlite", "postgresql"}


@pytest.mark.parametrize("kind", ["sites", "flood"])
def test_every_nasty_file_ends_in_a_clear_sentence(
    capsys: pytest.CaptureFixture[str], sqlite_url: str, reference_data: Path, kind: str
) -> None:
    """mapbox/geojsonhint 7d72009 test/data/bad, csv-spectrum d30e80f, ets-gpkg12 0e547f0.

    Whatever is in them: no traceback, no fault of ours, every row counted, and in a file that is
    refused nothing is written.
    """
    nasty = reference_data / "data/nasty"
    given = sorted(one for one in nasty.rglob("*") if one.suffix in {".csv", ".geojson", ".gpkg"})
    assert len(given) == 44 + 12 + 3
    anyhow = files.csv(Path.cwd(), '[fields]\nlon = "a"\n', "map.toml")
    for path in given:
        extra: list[str] = ["--layer", "s_manhole"] if "sewer" in path.name else []
        extra += ["--layer", "PointExamples"] if "null_geometry" in path.name else []
        if kind == "flood":
            extra += ["--zone", "AE"]
        elif path.suffix == ".csv" and path.name.startswith("simple"):
            anyhow.write_text('key = "a"\n[fields]\nlon = "b"\nlat = "c"\n')
            extra += ["--map", str(anyhow)]
        elif path.suffix == ".geojson":
            extra += keyed(path, anyhow)
        before = counts_of(sqlite_url)
        args = ("import", kind, path, *extra, "--store", sqlite_url, "--json")
        code, out, err = run(capsys, *args)
        assert code in {0, 1, 2}, (path.name, err)
        assert "Traceback" not in err
        assert "our fault" not in err
        if code == 2:
            assert err.strip().endswith("."), (path.name, err)
            assert counts_of(sqlite_url) == before
        else:
            read, added, changed, unchanged, rejected = counted(out)
            assert read == added + changed + unchanged + rejected
            assert bool(rejected) == (code == 1)
            if rejected:
                assert "row" in err, path.name
                assert Path(json.loads(out)["rejects_file"]).is_file()


def keyed(path: Path, column_map: Path) -> list[str]:
    """Options that take the first property of a GeoJSON file as the key, if it has any."""
    from registry.errors import FileError
    from registry.imports.opening import opened

    try:
        with opened(path) as source:
            names = source.columns
    except FileError:
        return []
    if not names:
        return []
    column_map.write_text(f'key = "{names[0]}"\n')
    return ["--map", str(column_map)]


def counts_of(url: str) -> dict[str, int]:
    """Rows in every table of a store."""
    store = open_store(url)
    found = table_counts(store)
    store.close()
    return found
