"""The last readings of a site."""

from datetime import date

import pytest

from registry.field.last_readings import last_readings
from registry.records.visits import Reading


def reading(key: str, year: int, value: float | None, **more: object) -> Reading:
    """Return one drawdown rate."""
    fields = {"visit_id": "v", "site_id": 1, "kind": "pump rate", "unit": "gpm"} | more
    return Reading(id=key, read_on=date(year, 5, 1), value=value, **fields)  # type: ignore[arg-type]


def test_the_newest_is_last_and_the_one_before_stands_beside_it() -> None:
    found = last_readings([reading("a", 2024, 24), reading("c", 2026, 18), reading("b", 2025, 20)])
    (rate,) = found["pump rate"]
    assert rate.before is not None
    assert (rate.last.value, rate.before.value) == (18, 20)
    # (18 - 20) / 20 = -10 %
    assert rate.change_share == pytest.approx(-0.1)


def test_a_superseded_reading_is_never_last() -> None:
    found = last_readings([reading("a", 2025, 212), reading("b", 2025, 21.2, supersedes="a")])
    (rate,) = found["pump rate"]
    assert rate.last.id == "b"
    assert rate.before is None
    assert rate.change_share is None


def test_every_part_has_its_own_series() -> None:
    found = last_readings(
        [reading(str(part), 2026, 10 + part, component_id=part) for part in (7, 5)]
        + [reading("old", 2020, 1, component_id=7)]
    )
    assert [one.last.value for one in found["pump rate"]] == [15, 17]


def test_a_reading_without_value_and_words_is_no_reading() -> None:
    assert last_readings([reading("a", 2025, None)]) == {}
    assert last_readings([reading("a", 2025, None, text="light and horn work")]) != {}


def test_a_change_from_zero_has_no_share() -> None:
    (rate,) = last_readings([reading("a", 2024, 0), reading("b", 2025, 3)])["pump rate"]
    assert rate.change_share is None


def test_a_counter_that_only_adds_up_has_no_share_of_change() -> None:
    counts = [reading("a", 2024, 2201, kind="counter"), reading("b", 2025, 4312, kind="counter")]
    (counter,) = last_readings(counts)["counter"]
    assert counter.before is not None
    assert counter.change_share is None
