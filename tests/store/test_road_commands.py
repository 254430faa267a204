"""``riserway closure`` and ``riserway roads`` on both stores."""

import json
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from click.testing import CliRunner, Result

from registry.cli.closure import command as closure
from registry.cli.roads import command as roads
from registry.errors import ConflictError, FileError, NotFoundError, RangeError, RowError
from registry.store.tables import FirmRow, JurisdictionRow

if TYPE_CHECKING:
    from registry.store import Store

LINE = {"type": "LineString", "coordinates": [[-40.0, 30.0], [-39.9, 30.1]]}


@pytest.fixture
def url(store: "Store", store_url: str) -> str:
    """A store with one firm."""
    with store.session() as session:
        session.add(JurisdictionRow(id=1, name="Invented County"))
        session.add(FirmRow(id=1, name="Invented Firm"))
    return store_url


def run(url: str, command: object, *args: str) -> Result:
    done = CliRunner().invoke(command, [*args, "--store", url])  # type: ignore[arg-type]  # a click command
    if done.exception and not isinstance(done.exception, SystemExit):
        raise done.exception
    return done


def file_of(folder: Path, *properties: dict[str, object], geometry: object = LINE) -> str:
    features = [{"type": "Feature", "properties": one, "geometry": geometry} for one in properties]
    path = folder / "closed.geojson"
    path.write_text(json.dumps({"type": "FeatureCollection", "features": features}))
    return str(path)


def test_closures_of_a_file_are_added_listed_and_lifted(url: str, tmp_path: Path) -> None:
    file = file_of(
        tmp_path,
        {"name": "Low Road", "from": "2026-06-01", "until": "2026-06-20", "why": "water"},
        {"road": "High Road", "hours": "08:00-12:00"},
    )
    done = run(url, closure, "add", "--file", file, "--date", "2026-06-15", "--json")
    low, high = json.loads(done.output)
    assert (low["name"], low["first_on"], low["last_on"]) == (
        "Low Road",
        "2026-06-01",
        "2026-06-20",
    )
    assert (low["why"], low["hours"]) == ("water", None)
    assert (high["name"], high["road"]) == ("closed.geojson, feature 2", "High Road")
    assert (high["first_on"], high["last_on"], high["hours"]) == ("2026-06-15", None, "08:00-12:00")
    run(url, closure, "lift", str(low["closure"]))
    listed = json.loads(run(url, closure, "list", "--json").output)
    assert [one["closure"] for one in listed] == [high["closure"]]
    everything = json.loads(run(url, closure, "list", "--lifted", "--json").output)
    assert [one["lifted_by"] for one in everything] == ["command line", None]
    assert "No road is closed." in run(url, closure, "list", "--date", "2026-01-01").output
    with pytest.raises(ConflictError, match="lifted before"):
        run(url, closure, "lift", str(low["closure"]))
    with pytest.raises(NotFoundError, match="no closure 99"):
        run(url, closure, "lift", "99")


def test_the_first_day_is_today_unless_said(url: str, tmp_path: Path) -> None:
    before = datetime.now(UTC).date()
    done = run(url, closure, "add", "--file", file_of(tmp_path, {}), "--json")
    told = date.fromisoformat(json.loads(done.output)[0]["first_on"])
    assert before <= told <= datetime.now(UTC).date()


@pytest.mark.parametrize(
    ("properties", "geometry", "said"),
    [
        ({}, {"type": "Point", "coordinates": [0, 0]}, "row 1: a closure is a line or an area"),
        ({}, None, "row 1: a closure is a line or an area"),
        ({"hours": "noon"}, LINE, "row 1: “noon” names no hours"),
        ({"from": "June"}, LINE, "row 1: Invalid isoformat"),
        ({"from": "2026-06-15", "until": "2026-06-01"}, LINE, "cannot end on 2026-06-01"),
    ],
)
def test_a_feature_that_cannot_be_used_is_named_and_nothing_is_closed(
    url: str, tmp_path: Path, properties: dict[str, object], geometry: object, said: str
) -> None:
    file = file_of(tmp_path, properties, geometry=geometry)
    with pytest.raises(RowError, match=said):
        run(url, closure, "add", "--file", file)
    assert json.loads(run(url, closure, "list", "--json").output) == []


def test_a_file_that_is_not_there_or_empty_is_refused(url: str, tmp_path: Path) -> None:
    with pytest.raises(FileError, match="There is no file"):
        run(url, closure, "add", "--file", str(tmp_path / "none.geojson"))
    with pytest.raises(FileError, match="holds no feature"):
        run(url, closure, "add", "--file", file_of(tmp_path))


def test_a_road_or_a_file_is_asked_for_not_both(url: str, tmp_path: Path) -> None:
    file = file_of(tmp_path, {})
    for options in ((), ("--road", "Low Road", "--file", file)):
        done = run(url, closure, "add", *options)
        assert done.exit_code == 2
        assert "--road NAME or --file FILE" in done.output


def test_speeds_are_set_shown_beside_the_programs_own_and_given_back(url: str) -> None:
    run(url, roads, "speeds", "--set", "gravel=18", "--set", "service = 9.5mph")
    rows = {one["class"]: one for one in json.loads(run(url, roads, "speeds", "--json").stdout)}
    assert rows["gravel"] == {"class": "gravel", "set_mph": 18.0, "program_mph": 24.9}
    assert rows["service"]["set_mph"] == 9.5
    assert rows["primary"]["set_mph"] is None
    done = run(url, roads, "speeds", "--clear", "gravel", "--clear", "service", "--json")
    assert all(one["set_mph"] is None for one in json.loads(done.stdout))


def test_what_is_no_speed_is_refused_whole(url: str) -> None:
    with pytest.raises(RangeError, match=r"“grvel” is no class.*0 mph for private.*Classes are"):
        run(url, roads, "speeds", "--set", "grvel=18", "--set", "private=0", "--set", "track=10")
    assert "10 mph" not in run(url, roads, "speeds").output.replace("10.0 mph", "")
    done = run(url, roads, "speeds", "--set", "gravel")
    assert done.exit_code == 2
    assert "CLASS=MPH" in done.output


def test_where_no_drive_was_recorded_the_comparison_says_so(url: str) -> None:
    days = ("--since", "2026-06-01", "--until", "2026-06-30")
    assert "No drive was recorded" in run(url, roads, "compare", *days).output
    told = json.loads(run(url, roads, "compare", *days, "--json").stdout)
    assert told == {"drives": [], "classes": []}
    with pytest.raises(RangeError, match="the first one first"):
        run(url, roads, "compare", "--since", "2026-06-30", "--until", "2026-06-01")
