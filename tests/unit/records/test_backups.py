"""Which old backups are thinned out."""

from datetime import UTC, datetime, timedelta

import pytest

from registry.records.backups import backup_name, made_at, to_thin_out

START = datetime(2026, 6, 15, 3, 0, tzinfo=UTC)


def nightly(days: int) -> list[str]:
    return [backup_name(START - timedelta(days=day), "sqlite") for day in range(days)]


def test_a_name_tells_when_a_backup_was_made() -> None:
    name = backup_name(START, "sqlite")
    assert name == "riserway-20260615T030000Z.sqlite"
    assert made_at(name) == START


@pytest.mark.parametrize(
    "name", ["county.sqlite", "riserway-20261399T030000Z.zip", "riserway-20260615T030000Z.txt", ""]
)
def test_any_other_name_is_none_of_a_backup(name: str) -> None:
    assert made_at(name) is None
    assert to_thin_out([name, *nightly(1)], 1, 0) == []


def test_two_years_of_nights_thin_out_to_the_days_and_months_asked_for() -> None:
    names = nightly(730)
    gone = to_thin_out(names, 14, 12)
    kept = sorted(set(names) - set(gone), reverse=True)
    assert kept[:14] == names[:14]
    months_ends = list(kept[14:])
    assert [one[9:17] for one in months_ends] == [
        *("20260531", "20260430", "20260331", "20260228", "20260131", "20251231"),
        *("20251130", "20251031", "20250930", "20250831", "20250731"),
    ]  # the twelfth month is June, whose newest is among the days
    assert gone == sorted(gone)


def test_thinning_out_again_removes_nothing_more() -> None:
    names = nightly(400)
    kept = set(names) - set(to_thin_out(names, 7, 6))
    assert to_thin_out(kept, 7, 6) == []


def test_of_several_on_one_day_the_newest_stays() -> None:
    names = [backup_name(START + timedelta(hours=hour), "zip") for hour in range(5)]
    assert to_thin_out(names, 14, 12) == names[:4]


def test_days_without_a_backup_do_not_count() -> None:
    names = [backup_name(START - timedelta(days=30 * n), "sqlite") for n in range(5)]
    assert to_thin_out(names, 5, 0) == []


def test_the_newest_is_never_thinned_out() -> None:
    assert to_thin_out(nightly(3), 1, 0) == nightly(3)[:0:-1]
