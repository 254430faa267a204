"""The files of the invented county: made by the program beside them, small, plainly invented."""

import csv
import re
from itertools import pairwise
from pathlib import Path

import pytest

from demo_sites import make_county
from demo_sites.county.calendar import TODAY

FILES = Path(make_county.__file__).with_name("files")
MOST_BYTES = 5_000_000
FICTION_PHONE = re.compile(r"555-01\d\d")
"""Numbers set aside for fiction (North American Numbering Plan), from memory."""
PRIVATE = ("gate_code", "owner_name", "owner_phone", "owner_email", "private_note")


def rows(name: str) -> list[dict[str, str]]:
    with (FILES / name).open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("county")
    make_county.main(folder)
    return folder


def test_the_program_writes_the_committed_files_byte_for_byte(made: Path) -> None:
    kept = {one.name: one.read_bytes() for one in FILES.iterdir()}
    assert {one.name for one in made.iterdir()} == set(kept)
    assert [name for name, text in kept.items() if (made / name).read_bytes() != text] == []


def test_the_files_are_small() -> None:
    assert sum(one.stat().st_size for one in FILES.iterdir()) <= MOST_BYTES


def test_the_present_is_a_tuesday_and_the_history_ends_before_it() -> None:
    assert TODAY.strftime("%A") == "Tuesday"
    assert (FILES / "today.txt").read_text() == f"{TODAY}\n"
    assert max(row["date"] for row in rows("readings.csv")) < TODAY.isoformat()


def test_every_phone_number_is_one_set_aside_for_fiction() -> None:
    for file in FILES.glob("*.csv"):
        found = re.findall(r"\b(?:\d{3}[ -])?\d{3}[ -]\d{4}\b", file.read_text(encoding="utf-8"))
        assert [one for one in found if not FICTION_PHONE.fullmatch(one)] == [], file.name


def test_mail_addresses_are_on_a_domain_set_aside_for_examples() -> None:
    """RFC 2606 sets example.org aside."""
    for row in rows("sites.csv"):
        assert row["owner_email"] == "" or row["owner_email"].endswith("@example.org")


def test_no_private_word_stands_where_it_is_not_private() -> None:
    sites = rows("sites.csv")
    secrets = {row[name] for row in sites for name in PRIVATE if row[name]}
    open_cells = {row[name] for row in sites for name in row if name not in PRIVATE}
    assert secrets & open_cells == set()
    for file in FILES.iterdir():
        if file.name in {"sites.csv", "roads.osm.pbf"}:
            continue
        words = set(re.split(r"[,\r\n\"]", file.read_text(encoding="utf-8")))
        assert {one for one in secrets & words if not one.isdigit()} == set(), file.name


def test_every_kind_of_system_and_every_trouble_is_there() -> None:
    kinds = {row["kind"] for row in rows("sites.csv")} | {r["kind"] for r in rows("systems.csv")}
    assert len(kinds & set(make_kinds())) == len(make_kinds())
    assert 230 <= len(rows("sites.csv")) + len(rows("systems.csv")) <= 250
    assert sum(row["lon"] == "" for row in rows("sites.csv")) >= 3
    assert any(row["ends_on"] < TODAY.isoformat() for row in rows("agreements.csv"))
    assert {row["elevation_datum"] for row in rows("components.csv")} == {"", "NAVD88", "NGVD29"}


def make_kinds() -> tuple[str, ...]:
    from demo_sites.county.households import KINDS

    return tuple(kind for kind in KINDS if kind != "unknown")


def test_a_dose_counter_rolls_over_and_a_lateral_clogs() -> None:
    counters: dict[tuple[str, str], list[int]] = {}
    squirts: dict[tuple[str, str], list[float]] = {}
    for row in rows("readings.csv"):
        if row["kind"] == "counter":
            counters.setdefault((row["site"], row["system"]), []).append(int(row["value"]))
        if row["kind"] == "squirt height" and float(row["value"]):
            squirts.setdefault((row["site"], row["component"]), []).append(float(row["value"]))
    fallen = [one for one in counters.values() if any(b < a for a, b in pairwise(one))]
    assert len(fallen) >= 1
    assert all(max(one) < 100_000 for one in fallen)
    clogged = {site for (site, _), seen in squirts.items() if seen[-1] < 0.8 * seen[0]}
    assert len(clogged) >= 3
