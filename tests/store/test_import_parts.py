"""What hangs on sites comes in by site and system, and the same file twice changes nothing."""

from datetime import date
from pathlib import Path

import pytest

from registry.errors import ConfigError
from registry.records.elevation import NAVD88, Elevation
from registry.records.places import LonLat, ServiceWindow, WindowException
from registry.records.systems import ComponentKind, PermitCondition, SystemKind
from registry.services.import_outcome import ImportOutcome
from registry.services.import_parts import import_parts
from registry.store import Store
from registry.store.history import history_of
from registry.store.places import agreement_of, agreements_of_sites
from tests.store.importing import bring, counts, kept, request, systems, table_counts
from tests.unit.imports import files

SITES = "key,lon,lat,kind\nA-1,-140.5,44.5,mound\nA-2,-140.5,44.5,gravity\n"


@pytest.fixture(autouse=True)
def two_sites(store: Store, tmp_path: Path) -> None:
    """Two sites with one system each."""
    bring(store, files.csv(tmp_path, SITES))


def part(store: Store, folder: Path, kind: str, text: str, **fields: object) -> ImportOutcome:
    """Import a file that hangs on sites."""
    path = files.csv(folder, text, f"{kind}.csv")
    with store.session() as session:
        return import_parts(session, request(path, **fields), kind)


FILES = {
    "systems": "site,system,kind\nA-1,B,sand filter\n",
    "components": "site,kind,label,depth\nA-1,pump tank,the tank,60\nA-1,lid,,\nA-1,lid,,\n",
    "windows": "site,weekday,date,opens,closes,note\nA-1,mon-fri,,08:00,12:00,\n"
    "A-1,,2026-07-03,,,away\n",
    "agreements": "site,starts_on,ends_on,visits_a_year,includes\n"
    "A-1,2025-01-01,2026-12-31,2,inspection; filter\n",
    "conditions": "site,task,months,citation,is_waiver\nA-1,purge,6,Permit 5,no\n",
    "readings": "site,date,technician,task,kind,value,unit\n"
    "A-1,2026-05-01,A. Example,inspection,,,\nA-1,2026-05-01,A. Example,,scum,3,in\n",
}


@pytest.mark.parametrize("kind", FILES)
def test_the_same_file_twice_changes_nothing(store: Store, tmp_path: Path, kind: str) -> None:
    rows = FILES[kind].count("\n") - 1
    first = part(store, tmp_path, kind, FILES[kind])
    assert counts(first) == (rows, rows, 0, 0, 0)
    assert first.touched_site_ids == (kept(store)["A-1"].id,)
    before = table_counts(store)
    second = part(store, tmp_path, kind, FILES[kind])
    assert counts(second) == (rows, 0, 0, rows, 0)
    assert second.touched_site_ids == ()
    assert table_counts(store) == before


@pytest.mark.parametrize("kind", FILES)
def test_a_row_of_a_site_that_is_not_kept_waits_to_be_mended(
    store: Store, tmp_path: Path, kind: str
) -> None:
    outcome = part(store, tmp_path, kind, FILES[kind].replace("A-1", "Z-9"))
    assert outcome.counts.rejected == outcome.counts.read
    assert "there is no site Z-9" in str(outcome.complaints[0])
    rejects = Path(outcome.counts.rejects_file or "")
    rejects.write_text(rejects.read_text().replace(",Z-9,", ",A-1,"))
    with store.session() as session:
        again = import_parts(session, request(rejects), kind)
    assert counts(again)[1:] == (again.counts.read, 0, 0, 0)


@pytest.mark.parametrize("kind", FILES)
def test_a_file_without_the_columns_it_needs_is_refused(
    store: Store, tmp_path: Path, kind: str
) -> None:
    with pytest.raises(ConfigError, match="has no column for site"):
        part(store, tmp_path, kind, "a,b\n1,2\n")


def test_a_component_is_kept_with_place_elevation_and_other_words(
    store: Store, tmp_path: Path
) -> None:
    text = (
        "site,kind,label,bearing_deg,distance_ft,elevation_ft,elevation_datum,count,has_riser,"
        "lon,lat,handle\n"
        "A-1,Control-Panel,panel,90,12.5,450.25,navd 88,,,,,left\n"
        "A-1,laterals,,,,,,4,,-140.501,44.501,\n"
        "A-2,lid,,,,,,,yes,,,\n"
    )
    assert counts(part(store, tmp_path, "components", text)) == (3, 3, 0, 0, 0)
    panel, laterals = systems(store)["A-1"].components
    assert (panel.kind, panel.label) == (ComponentKind.CONTROL_PANEL, "panel")
    assert (panel.bearing_deg, panel.distance_ft) == (90.0, 12.5)
    assert panel.elevation == Elevation(450.25, NAVD88)
    assert panel.details == {"handle": "left"}
    assert (laterals.count, laterals.lon_lat) == (4, LonLat(-140.501, 44.501))
    assert systems(store)["A-2"].components[0].has_riser is True


def test_a_changed_component_is_in_the_history_of_its_site(store: Store, tmp_path: Path) -> None:
    part(
        store,
        tmp_path,
        "components",
        "site,kind,label,turns_open,key_at\nA-1,balancing valve,V1,2,hook\n",
    )
    text = "site,kind,label,turns_open,colour\nA-1,balancing valve,V1,2.5,red\n"
    assert counts(part(store, tmp_path, "components", text)) == (1, 0, 1, 0, 0)
    (valve,) = systems(store)["A-1"].components
    assert valve.turns_open == 2.5
    assert valve.details == {"key_at": "hook", "colour": "red"}
    with store.reading() as session:
        lines = history_of(session, kept(store)["A-1"].id)
    assert [(one.kind, one.field, one.before, one.after) for one in lines[:3]] == [
        ("component", "details", "key_at = hook", "key_at = hook; colour = red"),
        ("component", "turns_open", "2", "2.5"),
        ("component", "component", "", "added: balancing valve, V1"),
    ]


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("A-1,pump tank,450,,,,", "no vertical datum"),
        ("A-1,pump tank,450,unknown,,,", "no vertical datum"),
        ("A-1,pump tank,,,90,,", "bearing_deg needs distance_ft"),
        ("A-1,pump tank,,,400,10,", "outside 0 to 360"),
        ("A-1,spaceship,,,,,", "not one of the known words"),
        ("A-1,,,,,,", "it is empty"),
        ("A-1,pump,,,,,=A1", "formula"),
    ],
)
def test_a_component_that_cannot_be_right_is_named(
    store: Store, tmp_path: Path, row: str, said: str
) -> None:
    head = "site,kind,elevation_ft,elevation_datum,bearing_deg,distance_ft,other\n"
    outcome = part(store, tmp_path, "components", head + row + "\n")
    assert outcome.counts.rejected == 1
    assert said in str(outcome.complaints[0])


def test_a_site_with_two_systems_has_to_be_told_which(store: Store, tmp_path: Path) -> None:
    part(store, tmp_path, "systems", "site,system,kind\nA-1,B,Odd One\n")
    found = systems(store)
    assert (found["A-1/B"].kind, found["A-1/B"].kind_as_given) == (SystemKind.UNKNOWN, "Odd One")
    text = "site,system,task,months,citation\nA-1,B,purge,6,P\nA-1,C,purge,6,P\nA-1,,look,12,P\n"
    outcome = part(store, tmp_path, "conditions", text)
    assert counts(outcome) == (3, 2, 0, 0, 1)
    assert "site A-1 has no system C" in str(outcome.complaints[0])
    found = systems(store)
    assert found["A-1"].conditions == (PermitCondition(task="look", months=12, citation="P"),)
    assert found["A-1/B"].conditions == (PermitCondition(task="purge", months=6, citation="P"),)


def test_weekly_hours_of_a_file_replace_those_of_its_sites(store: Store, tmp_path: Path) -> None:
    text = (
        "site,weekday,opens,closes\nA-1,mon,8:00 am,5pm\nA-1,tue,08:00,12:00\n"
        "A-2,daily,0:00,24:00\n"
    )
    part(store, tmp_path, "windows", text)
    assert kept(store)["A-1"].windows == (ServiceWindow(0, 480, 1020), ServiceWindow(1, 480, 720))
    assert len(kept(store)["A-2"].windows) == 7
    outcome = part(store, tmp_path, "windows", "site,weekday,opens,closes\nA-1,wed,09:00,10:00\n")
    assert kept(store)["A-1"].windows == (ServiceWindow(2, 540, 600),)
    assert len(kept(store)["A-2"].windows) == 7
    assert "2 weekly hours" in " ".join(outcome.counts.notes)
    with store.reading() as session:
        line = history_of(session, kept(store)["A-1"].id)[0]
    assert (line.field, line.before, line.after) == (
        "windows",
        "mon 08:00–17:00; tue 08:00–12:00",
        "wed 09:00–10:00",
    )


def test_hours_stay_where_a_row_of_the_site_could_not_be_read(store: Store, tmp_path: Path) -> None:
    part(store, tmp_path, "windows", "site,weekday,opens,closes\nA-1,mon,08:00,12:00\n")
    text = "site,weekday,opens,closes\nA-1,tue,08:00,12:00\nA-1,mon,08:00,noonish\n"
    assert counts(part(store, tmp_path, "windows", text)) == (2, 1, 0, 0, 1)
    assert [one.weekday for one in kept(store)["A-1"].windows] == [0, 1]


def test_a_date_without_hours_is_closed_and_can_be_opened_again(
    store: Store, tmp_path: Path
) -> None:
    head = "site,date,opens,closes,note\n"
    part(store, tmp_path, "windows", head + "A-1,2026-07-03,09:00,10:00,early\n")
    assert counts(part(store, tmp_path, "windows", head + "A-1,2026-07-03,,,away\n"))[2] == 1
    assert kept(store)["A-1"].exceptions == (WindowException(date(2026, 7, 3), None, None, "away"),)


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("A-1,mon,2026-07-03,08:00,09:00", "either weekdays or a date"),
        ("A-1,,,08:00,09:00", "either weekdays or a date"),
        ("A-1,mon,,08:00,", "half of the hours"),
        ("A-1,mon,,,", "has no hours"),
        ("A-1,mon,,10:00,09:00", "closes before it opens"),
        ("A-1,someday,,08:00,09:00", "names no weekdays"),
    ],
)
def test_hours_that_cannot_be_right_are_named(
    store: Store, tmp_path: Path, row: str, said: str
) -> None:
    outcome = part(store, tmp_path, "windows", f"site,weekday,date,opens,closes\n{row}\n")
    assert outcome.counts.rejected == 1
    assert said in str(outcome.complaints[0])


def test_the_agreement_in_force_is_found_by_its_days(store: Store, tmp_path: Path) -> None:
    text = (
        "site,starts_on,ends_on,visits_a_year\nA-1,2024-01-01,2024-12-31,1\n"
        "A-1,2025-01-01,,2\nA-2,2026-01-01,2025-01-01,1\n"
    )
    outcome = part(store, tmp_path, "agreements", text)
    assert counts(outcome) == (3, 2, 0, 0, 1)
    assert "ends before it starts" in str(outcome.complaints[0])
    site_id = kept(store)["A-1"].id
    with store.reading() as session:
        assert len(agreements_of_sites(session, [site_id])) == 2
        then, now = (agreement_of(session, site_id, date(year, 6, 1)) for year in (2024, 2026))
        assert agreement_of(session, site_id, date(2023, 6, 1)) is None
    assert then is not None
    assert now is not None
    assert (then.visits_a_year, now.visits_a_year) == (1.0, 2.0)
