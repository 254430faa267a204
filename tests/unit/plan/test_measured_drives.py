"""What drives took, from the notes of a day that ran."""

import pytest

from registry.plan.measured_drives import MeasuredDrive, class_ratios, noted_legs
from registry.records.day_notes import DayNote, NoteKind
from tests.build import A_DAY, day, route, stop


def note(kind: NoteKind, site_id: int, at_min: int) -> DayNote:
    return DayNote(on_date=A_DAY, kind=kind, at_min=at_min, site_id=site_id)


def a_day():
    """Sites 1 and 2, lunch, sites 3 and 4."""
    stops = [stop(f"A-{i}", 8 + i, site_id=i) for i in (1, 2, 3, 4)]
    return day(route(*stops[:2], stop(kind="lunch", hour=11), *stops[2:]))


def test_a_drive_leads_from_done_to_on_site():
    notes = [note(NoteKind.DONE, 1, 600), note(NoteKind.ON_SITE, 2, 617)]
    ((_, a, b, drive_s),) = noted_legs(a_day(), notes)
    assert (a.site, b.site, drive_s) == ("A-1", "A-2", 17 * 60.0)


def test_a_locked_gate_is_left_too():
    notes = [note(NoteKind.NOT_REACHED, 3, 700), note(NoteKind.ON_SITE, 4, 705)]
    assert [leg[3] for leg in noted_legs(a_day(), notes)] == [300.0]


@pytest.mark.parametrize(
    "notes",
    [
        [],
        [note(NoteKind.DONE, 1, 600)],
        [note(NoteKind.ON_SITE, 2, 617)],
        [note(NoteKind.DONE, 2, 600), note(NoteKind.ON_SITE, 3, 660)],  # lunch lies between
        [note(NoteKind.DONE, 1, 600), note(NoteKind.ON_SITE, 3, 660)],  # not the next one
        [note(NoteKind.DONE, 1, 600), note(NoteKind.ON_SITE, 2, 600)],  # noted at once
    ],
)
def test_what_is_not_known_at_both_ends_is_no_drive(notes):
    assert noted_legs(a_day(), notes) == []


def drive(measured_s: float, **classes_m: float) -> MeasuredDrive:
    return MeasuredDrive(
        on_date=A_DAY, technician="IP", begins="A-1", ends="A-2", measured_s=measured_s,
        estimated_s=600.0, length_m=1000.0, classes_m=classes_m,
    )  # fmt: skip


def test_a_ratio_counts_each_drive_by_its_share_of_the_class():
    """By hand: residential (0.5 × 900 + 1 × 600) / (0.5 × 600 + 1 × 600) = 1050 / 900."""
    drives = [drive(900.0, residential=500.0, track=500.0), drive(600.0, residential=1000.0)]
    found = {one.road_class: one for one in class_ratios(drives)}
    assert found["residential"].ratio == pytest.approx(1050 / 900)
    assert found["track"].ratio == pytest.approx(1.5)
    assert (found["residential"].drives, found["residential"].length_m) == (2, 1500.0)
    assert class_ratios([]) == []
