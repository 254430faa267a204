"""The crew file is taken whole or not at all, and the same file twice changes nothing."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from registry.errors import FileError, RowError
from registry.records.crew import Licence
from registry.records.places import Box, LonLat
from registry.services.import_crew import import_crew
from registry.services.import_outcome import ImportOutcome
from registry.store import Store, crew, places
from tests.store.importing import counts, request, table_counts
from tests.unit.imports import files

GUIDE = Path(__file__).parents[2] / "docs/import.md"


def example() -> str:
    """The crew file that the guide shows."""
    return GUIDE.read_text().split("## The crew")[1].split("```toml\n")[1].split("```")[0]


def bring(store: Store, folder: Path, text: str) -> ImportOutcome:
    """Import a crew file."""
    with store.session() as session:
        return import_crew(session, request(files.csv(folder, text, "crew.toml")))


def test_the_guides_own_example_is_kept_as_it_stands(store: Store, tmp_path: Path) -> None:
    assert counts(bring(store, tmp_path, example())) == (6, 6, 0, 0, 0)
    with store.reading() as session:
        (firm,) = places.firms(session)
        (county,) = places.jurisdictions(session)
        (technician,) = crew.technicians(session, firm.id)
        (fill,) = crew.fill_points(session, firm.id)
        (works,) = crew.disposal_sites(session)
    assert firm.yard == LonLat(-93.5, 44.5)
    assert (county.time_zone, county.box) == ("America/Chicago", Box(-93.8, 44.2, -93.2, 44.8))
    assert (county.ngvd29_to_navd88_ft, county.report_days) == (0.2, 30)
    assert (technician.shift_from_min, technician.lunch_to_min) == (480, 810)
    assert technician.licences == (
        Licence(
            kind="service provider",
            number="0001",
            valid_from=date(2024, 1, 1),
            valid_to=date(2027, 12, 31),
            jurisdiction="Example County",
        ),
    )
    assert technician.truck is not None
    assert technician.truck.water_gal == 200.0
    assert (fill.minutes, fill.opens_min) == (12.0, 360)
    assert works.weekdays == (0, 1, 2, 3, 4)


def test_the_same_file_twice_changes_nothing(store: Store, tmp_path: Path) -> None:
    bring(store, tmp_path, example())
    before = table_counts(store)
    assert counts(bring(store, tmp_path, example())) == (6, 0, 0, 6, 0)
    assert table_counts(store) == before


def test_what_changed_is_in_the_history(store: Store, tmp_path: Path) -> None:
    from sqlalchemy import select

    from registry.store.tables import ChangeRow

    bring(store, tmp_path, example())
    other = example().replace("2027-12-31", "2028-12-31").replace("hose_ft = 150", "hose_ft = 200")
    assert counts(bring(store, tmp_path, other)) == (6, 0, 2, 4, 0)
    with store.reading() as session:
        found = session.scalars(select(ChangeRow).order_by(ChangeRow.id.desc()).limit(2))
        lines = [(one.kind, one.field, one.before[-10:], one.after[-10:]) for one in found]
    assert lines == [
        ("technician", "licences", "2027-12-31", "2028-12-31"),
        ("truck", "hose_ft", "150", "200"),
    ]


def test_only_those_who_work_on_a_date_are_given(store: Store, tmp_path: Path) -> None:
    bring(store, tmp_path, example())
    with store.reading() as session:
        firm_id = places.firms(session)[0].id
        assert len(crew.technicians(session, firm_id, date(2026, 7, 2))) == 1
        assert crew.technicians(session, firm_id, date(2026, 7, 3)) == []  # a day off
        assert crew.technicians(session, firm_id, date(2026, 7, 4)) == []  # a Saturday


@pytest.mark.parametrize(
    ("before", "after", "said"),
    [
        ('name = "Example Septic Care"', "", "firm.name”: it is missing"),
        ("[-93.5, 44.5]  ", "[44.5, -93.5]  ", "is no place"),
        ("[-93.8, 44.2, -93.2, 44.8]", "[-93.2, 44.2, -93.8, 44.8]", "is no box"),
        ("America/Chicago", "Chicago", "Chicago is no time zone"),
        ("weight_lb = 14000", 'weight_lb = "heavy"', "'heavy' is not a number"),
        ("height_ft", "hight_ft", "truck.hight_ft”: this is not known here"),
        ('["08:00", "17:00"]', '["17:00", "08:00"]', "is no span of time"),
        ('truck = "Truck 1"', 'truck = "Truck 2"', "there is no truck Truck 2"),
        ("[2026-07-03]", '["soon"]', "not all are dates"),
        ('"fri"]\nskills', '"fry"]\nskills', "are no weekdays"),
        ("at = [-93.45, 44.52]", "", "disposal_site.at”: it is missing"),
        ("[[fill_point]]", "[[filling]]", "this part is not known"),
    ],
)
def test_what_is_wrong_is_told_and_nothing_is_written(
    store: Store, tmp_path: Path, before: str, after: str, said: str
) -> None:
    assert before in example()
    there = table_counts(store)
    with pytest.raises(RowError) as told:
        bring(store, tmp_path, example().replace(before, after))
    assert said in str(told.value)
    assert "crew.toml" in str(told.value)
    assert table_counts(store) == there


@pytest.mark.parametrize(("text", "said"), [("[firm", "is no TOML"), ("x = 1\n", "names no firm")])
def test_what_is_no_crew_file_is_refused(
    store: Store, tmp_path: Path, text: str, said: Any
) -> None:
    with pytest.raises((FileError, RowError), match=said):
        bring(store, tmp_path, text)
