"""Past visits and readings come in once; another value in the same place is a correction."""

from pathlib import Path

import pytest

from registry.records.places import Firm
from registry.records.visits import Reading, VisitRecord
from registry.services.import_outcome import ImportOutcome
from registry.services.import_parts import import_parts
from registry.store import Store, places, visits
from tests.store import rows
from tests.store.importing import bring, counts, kept, request, systems
from tests.unit.imports import files

HEAD = "site,date,technician,outcome,visit_note,task,kind,value,unit,component,note\n"
TWO_ROWS = HEAD + (
    "A-1,2026-05-01,A. Example,,lid stuck,inspection,scum,3.5,in,the tank,\n"
    "A-1,2026-05-01,A. Example,,,filter,filter state,half blocked,,,hair\n"
)


@pytest.fixture(autouse=True)
def a_site_with_a_tank(store: Store, tmp_path: Path) -> None:
    """One site, one system, one tank with a label and two lids without."""
    bring(store, files.csv(tmp_path, "key,lon,lat,kind\nA-1,-140.5,44.5,mound\n"))
    text = "site,kind,label\nA-1,septic tank,the tank\nA-1,lid,\nA-1,lid,\n"
    with store.session() as session:
        import_parts(session, request(files.csv(tmp_path, text, "c.csv")), "components")


def readings(store: Store, folder: Path, text: str, name: str = "readings.csv") -> ImportOutcome:
    """Import a file of readings."""
    with store.session() as session:
        return import_parts(session, request(files.csv(folder, text, name)), "readings")


def made(store: Store, *, everything: bool = False) -> list[VisitRecord]:
    """The visits that are kept, newest first."""
    with store.reading() as session:
        return visits.visits_of_site(session, kept(store)["A-1"].id, with_superseded=everything)


def read(store: Store, kind: str, *, everything: bool = False) -> list[Reading]:
    """The readings of a kind that are kept."""
    with store.reading() as session:
        site_id = kept(store)["A-1"].id
        return visits.readings_of_site(session, site_id, kind, with_superseded=everything)


def test_rows_of_one_visit_are_one_visit(store: Store, tmp_path: Path) -> None:
    outcome = readings(store, tmp_path, TWO_ROWS)
    assert counts(outcome) == (2, 2, 0, 0, 0)
    (visit,) = made(store)
    system = systems(store)["A-1"]
    assert (visit.technician, visit.outcome, visit.note) == ("A. Example", "in order", "lid stuck")
    assert set(visit.done) == {(system.id, "inspection"), (system.id, "filter")}
    assert visit.recorded_by == "a test"
    (scum,) = read(store, "scum")
    assert (scum.value, scum.unit, scum.component_id) == (3.5, "in", system.components[0].id)
    (state,) = read(store, "filter state")
    assert (state.value, state.text, state.note) == (None, "half blocked", "hair")
    assert "Not in the crew, kept as written: A. Example" in " ".join(outcome.counts.warnings)


def test_ids_stay_the_same_from_store_to_store(store: Store, tmp_path: Path) -> None:
    """The id is made of firm, site, date, technician: known here by value, from this program."""
    readings(store, tmp_path, TWO_ROWS)
    (visit,) = made(store)
    from uuid import uuid5

    from registry.imports.visit_rows import VISITS

    said = "\n".join(["Unnamed firm", "A-1", "2026-05-01", "A. Example", ""])
    assert visit.id == str(uuid5(VISITS, said))


def test_more_of_a_known_visit_is_added_beside_it(store: Store, tmp_path: Path) -> None:
    readings(store, tmp_path, TWO_ROWS)
    more = TWO_ROWS + "A-1,2026-05-01,A. Example,,,purge,sludge,5,in,the tank,\n"
    assert counts(readings(store, tmp_path, more)) == (3, 1, 0, 2, 0)
    (visit,) = made(store)
    assert len(visit.done) == 3
    assert len(visit.readings) == 3


def test_another_value_is_a_correction_that_keeps_the_first(store: Store, tmp_path: Path) -> None:
    readings(store, tmp_path, TWO_ROWS)
    assert counts(readings(store, tmp_path, TWO_ROWS.replace("3.5", "4.5"))) == (2, 0, 1, 1, 0)
    assert [one.value for one in read(store, "scum")] == [4.5]
    both = read(store, "scum", everything=True)
    assert sorted(one.value or 0 for one in both) == [3.5, 4.5]
    (now,) = read(store, "scum")
    assert now.supersedes in {one.id for one in both}
    assert counts(readings(store, tmp_path, TWO_ROWS.replace("3.5", "4.5"))) == (2, 0, 0, 2, 0)
    assert counts(readings(store, tmp_path, TWO_ROWS)) == (2, 0, 1, 1, 0)
    assert [one.value for one in read(store, "scum")] == [3.5]
    assert len(read(store, "scum", everything=True)) == 3


def test_another_outcome_is_a_visit_that_corrects_the_first(store: Store, tmp_path: Path) -> None:
    readings(store, tmp_path, TWO_ROWS)
    (first,) = made(store)
    other = TWO_ROWS.replace("A. Example,,lid stuck", "A. Example,follow-up owed,lid stuck")
    assert counts(readings(store, tmp_path, other)) == (2, 0, 2, 0, 0)
    (now,) = made(store)
    assert (now.outcome, now.supersedes) == ("follow-up owed", first.id)
    assert now.done == first.done
    assert {(one.kind, one.value, one.text) for one in now.readings} == {
        (one.kind, one.value, one.text) for one in first.readings
    }
    assert len(made(store, everything=True)) == 2
    assert len(read(store, "scum")) == 1
    assert counts(readings(store, tmp_path, other)) == (2, 0, 0, 2, 0)


def test_the_same_reading_twice_in_a_visit_is_two_readings(store: Store, tmp_path: Path) -> None:
    text = HEAD + "A-1,2026-05-01,,,,,squirt,60,in,,\nA-1,2026-05-01,,,,,squirt,58,in,,\n"
    assert counts(readings(store, tmp_path, text)) == (2, 2, 0, 0, 0)
    assert sorted(one.value or 0 for one in read(store, "squirt")) == [58.0, 60.0]
    assert counts(readings(store, tmp_path, text)) == (2, 0, 0, 2, 0)


def test_two_visits_on_one_day_are_told_apart_by_their_own_word(
    store: Store, tmp_path: Path
) -> None:
    text = "site,date,technician,visit,task\nA-1,2026-05-01,A,am,look\nA-1,2026-05-01,A,pm,look\n"
    readings(store, tmp_path, text)
    assert len(made(store)) == 2


def test_a_visit_that_did_nothing_is_kept(store: Store, tmp_path: Path) -> None:
    text = HEAD + "A-1,2026-05-01,A,not reached,gate locked,,,,,,\n"
    assert counts(readings(store, tmp_path, text)) == (1, 1, 0, 0, 0)
    (visit,) = made(store)
    assert (visit.outcome, visit.note, visit.done) == ("not reached", "gate locked", ())


def test_a_technician_of_the_crew_is_known(store: Store, tmp_path: Path) -> None:
    from registry.records.crew import Technician
    from registry.store import crew

    with store.session() as session:
        firm_id = places.put_firm(session, Firm(name="Unnamed firm"), rows.BY)[0]
        record = Technician(name="A. Example", initials="AE")
        technician_id = crew.put_technician(session, firm_id, record, rows.BY)[0]
    outcome = readings(store, tmp_path, TWO_ROWS)
    assert made(store)[0].technician_id == technician_id
    assert outcome.counts.warnings == ()


@pytest.mark.parametrize(
    ("row", "said"),
    [
        ("A-1,soon,,,,look,,,,,", "cannot be read as a date"),
        ("A-1,,,,,look,,,,,", "it is empty"),
        ("A-1,2026-05-01,,,,,scum,,in,,", "has no value"),
        ("A-1,2026-05-01,,,,,,3,in,,", "without what was read"),
        ("A-1,2026-05-01,,,,,,,,,", "neither task, reading, outcome nor note"),
        ("A-1,2026-05-01,,fine,,look,,,,,", "not one of the known words"),
        ("A-1,2026-05-01,,,,,scum,3,in,pool,", "no component named pool"),
        ("A-1,2026-05-01,,,,,scum,3,in,lid,", "several components named lid"),
        ("A-1,2026-05-01,,,,,scum,=A1,in,,", "formula"),
    ],
)
def test_a_row_that_cannot_be_right_is_named(
    store: Store, tmp_path: Path, row: str, said: str
) -> None:
    outcome = readings(store, tmp_path, HEAD + row + "\n")
    assert outcome.counts.rejected == 1
    assert said in str(outcome.complaints[0])
    assert made(store) == []


def test_rows_of_a_visit_that_do_not_agree_are_named(store: Store, tmp_path: Path) -> None:
    text = HEAD + (
        "A-1,2026-05-01,A,in order,,look,,,,,\nA-1,2026-05-01,A,not reached,,filter,,,,,\n"
    )
    outcome = readings(store, tmp_path, text)
    assert counts(outcome) == (2, 1, 0, 0, 1)
    assert "another row of this visit says “in order”" in str(outcome.complaints[0])
