"""Sites come in whole or not at all, with nothing lost, on both stores."""

from pathlib import Path

import pytest
from sqlalchemy import select

from registry.errors import ConfigError, FileError
from registry.imports.limits import Limits
from registry.imports.opening import Reading
from registry.records.places import Box, Hazard, LonLat
from registry.records.systems import SystemKind
from registry.store import Store
from registry.store.history import history_of
from registry.store.import_runs import import_runs
from tests.store import rows
from tests.store.importing import bring, counts, kept, systems, table_counts
from tests.unit.imports import files

HEAD = "key,lon,lat,address,kind,bedrooms,installed_on,hazards,owner_name\n"
GOOD = HEAD + (
    'A-1,-140.5,44.5,"1 Lane, North",mound,3,2001-05-06,dog: loose; bees,Null\n'
    "A-2,-140.4,44.4,2 Lane,gravity,,,,\n"
)


def test_a_file_of_sites_is_kept_as_it_stands(store: Store, tmp_path: Path) -> None:
    outcome = bring(store, files.csv(tmp_path, GOOD))
    assert counts(outcome) == (2, 2, 0, 0, 0)
    assert outcome.counts.rejects_file is None
    site = kept(store)["A-1"]
    assert site.lon_lat == LonLat(-140.5, 44.5)
    assert site.address == "1 Lane, North"
    assert site.hazards == (Hazard("dog", "loose"), Hazard("bees", ""))
    assert site.owner_name == "Null"
    system = systems(store)["A-1"]
    assert system.kind is SystemKind.MOUND
    assert (system.bedrooms, str(system.installed_on)) == (3.0, "2001-05-06")
    assert systems(store)["A-2"].bedrooms is None


def test_the_same_file_twice_changes_nothing(store: Store, tmp_path: Path) -> None:
    path = files.csv(tmp_path, GOOD)
    bring(store, path)
    before = table_counts(store)
    outcome = bring(store, path)
    assert counts(outcome) == (2, 0, 0, 2, 0)
    assert outcome.touched_site_ids == ()
    assert table_counts(store) == before


SEVERAL = (
    "key,lon,lat,address,system_key,kind\n"
    "A-1,-140.5,44.5,1 Lane,,mound\n"
    "A-1,-140.5,44.5,1 Lane,B,gravity\n"
    "A-2,-140.4,44.4,2 Lane,A,gravity\n"
    "A-1,-140.5,44.5,1 Lane,C,holding tank\n"
)


def test_rows_of_one_key_that_name_other_systems_are_one_site(store: Store, tmp_path: Path) -> None:
    outcome = bring(store, files.csv(tmp_path, SEVERAL))
    assert counts(outcome) == (4, 4, 0, 0, 0)
    assert "2 rows name a further system of a site" in " ".join(outcome.counts.notes)
    assert set(kept(store)) == {"A-1", "A-2"}
    assert set(systems(store)) == {"A-1", "A-1/B", "A-2/A", "A-1/C"}
    other = SEVERAL.replace("B,gravity", "B,mound")
    assert counts(bring(store, files.csv(tmp_path, other, "new.csv"))) == (4, 0, 1, 3, 0)
    assert systems(store)["A-1/B"].kind is SystemKind.MOUND


def test_a_further_system_that_says_something_else_of_the_site_is_to_be_mended(
    store: Store, tmp_path: Path
) -> None:
    other = SEVERAL.replace("1 Lane,C", "9 Lane,C")
    outcome = bring(store, files.csv(tmp_path, other))
    assert counts(outcome) == (4, 3, 0, 0, 1)
    (complaint,) = outcome.complaints
    assert "a further system of the site in row 2" in complaint.wrong
    assert kept(store)["A-1"].address == "1 Lane"
    rejects = Path(outcome.counts.rejects_file or "")
    rejects.write_text(rejects.read_text("utf-8").replace("9 Lane", "1 Lane"), "utf-8")
    bring(store, rejects)
    assert set(systems(store)) == {"A-1", "A-1/B", "A-2/A", "A-1/C"}


def test_a_further_system_is_kept_where_the_row_before_it_is_rejected(
    store: Store, tmp_path: Path
) -> None:
    broken = SEVERAL.replace("1 Lane,,mound", "=1+1,,mound")
    assert counts(bring(store, files.csv(tmp_path, broken))) == (4, 3, 0, 0, 1)
    assert set(systems(store)) == {"A-1/B", "A-2/A", "A-1/C"}


def test_a_changed_row_changes_one_site_and_its_history_says_so(
    store: Store, tmp_path: Path
) -> None:
    bring(store, files.csv(tmp_path, GOOD))
    other = GOOD.replace("-140.5,44.5", "-140.6,44.5").replace("mound,3", "mound,4")
    outcome = bring(store, files.csv(tmp_path, other, "new.csv"), who="office")
    assert counts(outcome) == (2, 0, 1, 1, 0)
    site = kept(store)["A-1"]
    assert outcome.touched_site_ids == (site.id,)
    with store.reading() as session:
        lines = history_of(session, site.id)
    assert [(one.field, one.before, one.after) for one in lines] == [
        ("bedrooms", "3", "4"),
        ("lon", "-140.5", "-140.6"),
        ("site", "", "added"),
    ]
    assert {(one.who, one.source) for one in lines[:2]} == {("office", "new.csv")}
    assert kept(store)["A-2"].lon_lat == LonLat(-140.4, 44.4)


def test_good_rows_land_and_bad_ones_wait_to_be_mended(store: Store, tmp_path: Path) -> None:
    text = (
        GOOD + "A-3,44.5,-140.5,3 Lane,mound,3,2001-05-06,,\nA-4,-140.5,44.6,x,mound,many,soon,,\n"
    )
    outcome = bring(store, files.csv(tmp_path, text))
    assert counts(outcome) == (4, 2, 0, 0, 2)
    assert set(kept(store)) == {"A-1", "A-2"}
    assert [(one.row, one.field) for one in outcome.complaints] == [
        (4, "lon, lat"),
        (5, "bedrooms"),
        (5, "installed_on"),
    ]
    rejects = Path(outcome.counts.rejects_file or "")
    assert rejects.name == "sites.rejects.csv"
    lines = rejects.read_text().splitlines()
    assert lines[0] == "reject_reason,reject_key," + HEAD.strip()
    assert "swapped" in lines[1]
    mended = rejects.read_text().replace("44.5,-140.5", "-140.5,44.5")
    rejects.write_text(mended.replace("many,soon", "2,2020-01-01"))
    assert counts(bring(store, rejects)) == (2, 2, 0, 0, 0)
    assert set(kept(store)) == {"A-1", "A-2", "A-3", "A-4"}


def test_ragged_rows_are_kept_too_and_come_back(store: Store, tmp_path: Path) -> None:
    text = 'key,lon,lat,note\nA-1,-140.5,44.5,a, b\nA-2,-140.5,44.5,"q"x\nA-3,-140.5,44.5,fine\n'
    outcome = bring(store, files.csv(tmp_path, text))
    assert counts(outcome) == (3, 1, 0, 0, 2)
    rejects = Path(outcome.counts.rejects_file or "")
    assert "A-1,-140.5,44.5,a, b" in rejects.read_text()
    mended = rejects.read_text().replace("a, b", '"a, b"').replace('"q"x', "qx")
    rejects.write_text(mended)
    assert counts(bring(store, rejects)) == (2, 2, 0, 0, 0)
    assert kept(store)["A-1"].note == "a, b"


def test_rows_are_never_merged(store: Store, tmp_path: Path) -> None:
    """Same key, same parcel, same point: three sites, and a mended row stays itself."""
    text = "key,lon,lat,parcel,bedrooms\nK,-140.5,44.5,P,1\nK,-140.5,44.5,P,x\nK,-140.5,44.5,P,3\n"
    path = files.csv(tmp_path, text)
    outcome = bring(store, path)
    assert counts(outcome) == (3, 2, 0, 0, 1)
    assert set(kept(store)) == {"K", "K (3)"}
    assert any("K (rows 2, 3, 4)" in one for one in outcome.counts.warnings)
    rejects = Path(outcome.counts.rejects_file or "")
    rejects.write_text(rejects.read_text().replace(",x", ",2"))
    assert counts(bring(store, rejects)) == (1, 1, 0, 0, 0)
    assert {key: one.bedrooms for key, one in systems(store).items()} == {
        "K": 1.0,
        "K (2)": 2.0,
        "K (3)": 3.0,
    }
    assert counts(bring(store, files.csv(tmp_path, text.replace("x", "2")))) == (3, 0, 0, 3, 0)


def test_an_unknown_kind_is_kept_with_its_own_word(store: Store, tmp_path: Path) -> None:
    text = "key,lon,lat,kind\nA-1,-140.5,44.5,STU & pit\nA-2,-140.5,44.5,Mound\nA-3,-140.5,44.5, \n"
    outcome = bring(store, files.csv(tmp_path, text))
    found = systems(store)
    assert (found["A-1"].kind, found["A-1"].kind_as_given) == (SystemKind.UNKNOWN, "STU & pit")
    assert (found["A-2"].kind, found["A-2"].kind_as_given) == (SystemKind.MOUND, "Mound")
    said = " ".join(outcome.counts.warnings)
    assert "“STU & pit” 1" in said
    assert "1 rows do not say of which kind" in said


def test_a_kind_that_somebody_looked_up_stays(store: Store, tmp_path: Path) -> None:
    from sqlalchemy import update

    from registry.store.tables import SystemRow

    path = files.csv(tmp_path, "key,lon,lat,kind\nA-1,-140.5,44.5,STU & pit\n")
    bring(store, path)
    with store.session() as session:
        session.execute(update(SystemRow).values(kind="gravity"))
    assert counts(bring(store, path)) == (1, 0, 0, 1, 0)
    assert systems(store)["A-1"].kind is SystemKind.GRAVITY
    files.csv(tmp_path, "key,lon,lat,kind\nA-1,-140.5,44.5,mound\n")
    assert counts(bring(store, path)) == (1, 0, 1, 0, 0)
    assert systems(store)["A-1"].kind is SystemKind.MOUND


def test_a_system_has_a_number_of_its_own_where_the_file_gives_one(
    store: Store, tmp_path: Path
) -> None:
    path = files.csv(tmp_path, "key,lon,lat,system_key,kind\nA-1,-140.5,44.5,S1,mound\n")
    bring(store, path)
    assert set(systems(store)) == {"A-1/S1"}
    files.csv(tmp_path, "key,lon,lat,system_key,kind\nA-1,-140.5,44.5,S2,gravity\n")
    assert counts(bring(store, path)) == (1, 0, 1, 0, 0)
    assert set(systems(store)) == {"A-1/S1", "A-1/S2"}


def test_a_site_without_a_position_is_to_be_located(store: Store, tmp_path: Path) -> None:
    text = "key,lon,lat,address,parcel\nA-1,,,1 Lane,\nA-2,,,,P-2\nA-3,,,,\nA-4,,,n/a,\n"
    outcome = bring(store, files.csv(tmp_path, text))
    assert counts(outcome) == (4, 2, 0, 0, 2)
    assert all(one.lon_lat is None for one in kept(store).values())
    assert "2 sites have no position" in " ".join(outcome.counts.warnings)
    assert "neither an address nor a parcel" in str(outcome.complaints[0])


def test_an_empty_cell_leaves_what_is_kept_unless_it_is_to_clear(
    store: Store, tmp_path: Path
) -> None:
    bring(store, files.csv(tmp_path, GOOD))
    blank = "key,lon,lat,address,bedrooms,hazards,kind\nA-1,,,1 Lane,,,\n"
    path = files.csv(tmp_path, blank, "blank.csv")
    assert counts(bring(store, path)) == (1, 0, 1, 0, 0)
    assert kept(store)["A-1"].lon_lat == LonLat(-140.5, 44.5)
    bring(store, path, blank_clears=True)
    site, system = kept(store)["A-1"], systems(store)["A-1"]
    assert (site.lon_lat, site.hazards, system.bedrooms) == (None, (), None)
    assert system.kind is SystemKind.UNKNOWN


def test_a_site_that_somebody_located_stays_located(store: Store, tmp_path: Path) -> None:
    from registry.store.sites import change_site

    path = files.csv(tmp_path, "key,lon,lat,address\nA-1,,,1 Lane\n")
    bring(store, path)
    with store.session() as session:
        fields = {"lon_lat": LonLat(-140.5, 44.5)}
        site_id = kept(store)["A-1"].id
        change_site(session, who="office", now=rows.NOW, site_id=site_id, fields=fields)
    assert counts(bring(store, path)) == (1, 0, 0, 1, 0)
    assert kept(store)["A-1"].lon_lat == LonLat(-140.5, 44.5)


def test_positions_are_held_to_the_box_of_the_jurisdiction(store: Store, tmp_path: Path) -> None:
    with store.session() as session:
        rows.jurisdiction(session, box=Box(-141, 44, -140, 45))
    text = "key,lon,lat\nA-1,-140.5,44.5\nA-2,-139.5,44.5\nA-3,140.5,44.5\n"
    outcome = bring(store, files.csv(tmp_path, text))
    assert counts(outcome) == (3, 1, 0, 0, 2)
    assert "outside the jurisdiction's box" in outcome.complaints[0].wrong
    assert "minus sign" in outcome.complaints[1].wrong


@pytest.mark.parametrize("name", ["sites.geojson", "sites.gpkg", "sites.shp"])
def test_gis_files_come_in_and_their_rejects_come_back(
    store: Store, tmp_path: Path, name: str
) -> None:
    keys, points = ["A-1", "A-2", "A-3"], [(-140.5, 44.5), None, (-140.4, 44.4)]
    path = tmp_path / name
    if name.endswith("geojson"):
        features = [
            files.feature(point, key=key, beds=n)
            for n, (key, point) in enumerate(zip(keys, points, strict=True))
        ]
        files.geojson(tmp_path, *features)
    else:
        files.layer(path, points, key=keys, beds=[0, 1, 2])
    outcome = bring(store, path)
    assert counts(outcome) == (3, 2, 0, 0, 1)
    assert [(one.row, one.field) for one in outcome.complaints] == [(2, "")]
    assert systems(store)["A-3"].bedrooms == 2.0
    rejects = Path(outcome.counts.rejects_file or "")
    assert rejects.suffix == (".geojson" if name.endswith("geojson") else ".gpkg")
    again = bring(store, rejects)
    assert counts(again) == (1, 0, 0, 0, 1)
    assert Path(again.counts.rejects_file or "").name.startswith("sites.rejects-2.")


def test_a_broken_geometry_is_kept_as_it_was(store: Store, tmp_path: Path) -> None:
    import json

    broken = {"type": "Point", "coordinates": ["x", 44.5]}
    outcome = bring(store, files.geojson(tmp_path, files.feature(broken, key="A-1")))
    rejects = json.loads(Path(outcome.counts.rejects_file or "").read_text())
    assert rejects["features"][0]["geometry"] == broken
    assert "'x', not a number" in rejects["features"][0]["properties"]["reject_reason"]


@pytest.mark.parametrize(
    ("text", "fields", "said"),
    [
        ("name,lon,lat\nx,-140,44\n", {}, "No column of sites.csv is surely the number of a site"),
        ("key,x,y\nA,7600000,680000\n", {}, "does not say in which coordinate system"),
        (GOOD, {"crs": "EPSG:1"}, "no coordinate system that is known"),
    ],
)
def test_a_file_that_cannot_be_used_writes_nothing(
    store: Store, tmp_path: Path, text: str, fields: dict[str, str], said: str
) -> None:
    before = table_counts(store)
    with pytest.raises(FileError, match=said):
        bring(store, files.csv(tmp_path, text), **fields)
    assert table_counts(store) == before
    assert [one.name for one in tmp_path.glob("*.rejects*")] == []


def test_an_import_that_breaks_off_leaves_nothing_half_written(
    store: Store, tmp_path: Path
) -> None:
    """The second part of the file is asked about; the first was already on its way."""
    text = "key,lon,lat\n" + "A-1,-140.5,44.5\nA-2,x,y\n" + "".join(f"B-{n},,\n" for n in range(9))
    before = table_counts(store)

    class StopError(Exception):
        """What breaks the import off."""

    def stop(done: int, of: int) -> None:
        assert of == 11
        if done > 4:
            raise StopError

    reading = Reading(limits=Limits(sheet_rows=2))
    with pytest.raises(StopError):
        bring(store, files.csv(tmp_path, text), reading=reading, progress=stop)
    assert table_counts(store) == before
    assert {one.name for one in tmp_path.iterdir()} == {"sites.csv"} | {
        one.name for one in tmp_path.glob("store.sqlite*")
    }


def test_a_file_in_parts_comes_in_like_one_in_a_piece(store: Store, tmp_path: Path) -> None:
    text = "key,lon,lat\n" + "".join(f"A-{n % 7},-140.5,44.5\n" for n in range(30))
    outcome = bring(store, files.csv(tmp_path, text), reading=Reading(limits=Limits(sheet_rows=4)))
    assert counts(outcome) == (30, 30, 0, 0, 0)
    assert counts(bring(store, tmp_path / "sites.csv")) == (30, 0, 0, 30, 0)


def test_a_column_map_names_key_words_units_and_constants(store: Store, tmp_path: Path) -> None:
    text = "PERMIT;UNIT;X;Y;TYP;FLOW;BUILT\nP;1;-140,5;44,5;STU;1.200;1/2/2003\n"
    column_map = """
        key = ["PERMIT", "UNIT"]
        [fields]
        lon = "X"
        lat = "Y"
        kind = "TYP"
        design_flow_gpd = "FLOW"
        installed_on = "BUILT"
        position_source = { value = "inventory" }
        [values.kind]
        stu = "gravity"
        [units]
        design_flow_gpd = "L/d"
        [dates]
        installed_on = "D/M/Y"
        [numbers]
        decimal = ","
    """
    map_path = files.csv(tmp_path, column_map, "map.toml")
    assert counts(bring(store, files.csv(tmp_path, text), map_path=map_path))[1] == 1
    site, system = kept(store)["P / 1"], systems(store)["P / 1"]
    assert (site.lon_lat, site.position_source) == (LonLat(-140.5, 44.5), "inventory")
    assert system.kind is SystemKind.GRAVITY
    assert system.design_flow_gpd == pytest.approx(1200 / 3.785411784, rel=1e-12)
    assert str(system.installed_on) == "2003-02-01"


def test_a_guessed_map_is_written_and_can_be_used(store: Store, tmp_path: Path) -> None:
    path, out = files.csv(tmp_path, GOOD), tmp_path / "out.toml"
    first = bring(store, path, write_map=out)
    assert any("Columns recognised: key ← key" in one for one in first.counts.notes)
    assert counts(bring(store, path, map_path=out)) == (2, 0, 0, 2, 0)
    with pytest.raises(ConfigError, match=r"which other\.csv has not"):
        bring(store, files.csv(tmp_path, "a,b\n1,2\n", "other.csv"), map_path=out)


def test_firms_keep_their_sites_apart(store: Store, tmp_path: Path) -> None:
    path = files.csv(tmp_path, GOOD)
    bring(store, path, firm="One")
    assert counts(bring(store, path, firm="Other")) == (2, 2, 0, 0, 0)
    with pytest.raises(
        FileError, match=r"Say whose rows these are with --firm\. Known: One, Other"
    ):
        bring(store, path)


def test_jurisdictions_come_from_a_column_or_an_option(store: Store, tmp_path: Path) -> None:
    from registry.store.places import jurisdictions

    bring(store, files.csv(tmp_path, "key,lon,lat,county\nA,-140.5,44.5,North\n"))
    with store.reading() as session:
        assert [one.name for one in jurisdictions(session)] == ["North"]
    bring(store, files.csv(tmp_path, "key,lon,lat\nB,-140.5,44.5\n"), jurisdiction="South")
    with pytest.raises(FileError, match=r"Say whose rules hold.*North, South"):
        bring(store, files.csv(tmp_path, "key,lon,lat\nC,-140.5,44.5\n"))
    text = "key,lon,lat,county\nA,-140.5,44.5,\nB,-140.5,44.5,South\n"
    assert counts(bring(store, files.csv(tmp_path, text))) == (2, 0, 0, 1, 1)


def test_every_import_leaves_a_line(store: Store, tmp_path: Path) -> None:
    import hashlib

    path = files.csv(tmp_path, GOOD)
    bring(store, path)
    with store.reading() as session:
        (run,) = import_runs(session)
    assert (run.kind, run.who, run.file_name) == ("sites", "a test", "sites.csv")
    assert run.digest == hashlib.sha256(path.read_bytes()).hexdigest()
    assert run.counts["added"] == 2


def test_text_that_databases_could_trip_over_comes_back(store: Store, tmp_path: Path) -> None:
    note = 'back\\slash "quoted" \\N \t tab, ’ ‘ 100 % {x} $1 :y'
    text = 'key,lon,lat,note\nA-1,-140.5,44.5,"' + note.replace('"', '""') + '"\n'
    bring(store, files.csv(tmp_path, text))
    assert kept(store)["A-1"].note == note
    from registry.store.tables import SiteRow

    with store.reading() as session:
        assert session.scalar(select(SiteRow.note)) == note
