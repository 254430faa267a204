"""A file of figures: what it gives, and what is said of a wrong one."""

import tomllib
from typing import Any

import pytest

from registry.cli.hydraulics_example import EXAMPLE
from registry.errors import RangeError
from registry.hydraulics.field_given import network_given
from registry.services.field_hydraulics import (
    balance_answer,
    explain_answer,
    network_of,
    purge_of,
)
from registry.services.tank_hydraulics import flow_answer, series_answer, tank_answer


def figures() -> dict[str, Any]:
    return tomllib.loads(EXAMPLE)


def test_the_example_gives_a_field_of_three_laterals() -> None:
    network = network_given(figures())
    assert [one.label for one in network.laterals] == ["1", "2", "3"]
    assert network.supply.pipe_in == pytest.approx(2.067)
    assert network.laterals[0].open_share == 0.5


def test_the_example_is_explained_by_blocked_holes_in_lateral_3() -> None:
    told = explain_answer(figures())
    assert told.results["best"] == "fits 30% of holes blocked in lateral 3"


def test_holes_may_be_given_by_the_length_that_they_stand_on() -> None:
    given = figures()
    del given["lateral"][0]["holes"]
    given["lateral"][0]["length_ft"] = 38
    assert network_given(given).laterals[0].holes == 20


def test_a_thin_walled_pipe_is_wider_inside() -> None:
    given = figures()
    given["supply"]["series"] = "SDR 21"
    assert network_given(given).supply.pipe_in == pytest.approx(2.149)


def test_a_purge_names_the_water_that_is_missing() -> None:
    told = purge_of(figures()).results
    assert isinstance(told["missing_gal"], float)
    assert isinstance(told["hose_min"], float)
    assert told["hose_min"] == pytest.approx(told["missing_gal"] / 5)
    given = figures()
    del given["tank"]
    alone = purge_of(given)
    assert alone.results["missing_gal"] == alone.results["pumped_gal"]


def test_a_network_lists_every_hole() -> None:
    rows = network_of(figures()).rows
    assert [len(row["hole_head_ft"]) for row in rows] == [20, 20, 20]  # type: ignore[arg-type]


def test_balancing_tells_every_valve() -> None:
    assert len(balance_answer(figures()).rows) == 3


def test_the_published_exercise_comes_out_of_the_flow_section() -> None:
    """ "Onsite Arithmetic", trade journal, December 2015: 640 cycles, 120 days, 341 gpd."""
    told = flow_answer(
        {
            "flow": {
                "gal_per_in": 12.8, "counter_before": 45850, "counter_after": 46490,
                "dose_in": 5, "days": 120, "drain_back_ft": 80, "pipe": 2,
                "design_flow_gpd": 300,
            }
        }
    ).results  # fmt: skip
    assert told["dose_gal"] == pytest.approx(64)
    assert told["by_counter_gpd"] == pytest.approx(341, abs=1)
    assert told["use"] == "over the design flow"
    assert told["to_field_gpd"] == pytest.approx((64 - 13.9) * 640 / 120, abs=1)


def test_counter_and_hours_that_differ_are_told() -> None:
    given = figures()
    given["flow"]["hours_after"] = 225.0
    told = flow_answer(given)
    assert told.results["ways_agree"] is False
    assert any("differ by more than 10 %" in note for note in told.notes)


def test_the_reserve_is_the_published_450_gallons_for_36_hours() -> None:
    """450 gal at 300 gpd are 36 h: derived from "Onsite Arithmetic", pump math, October 2016."""
    told = tank_answer(
        {"tank": {"gal_per_in": 10, "alarm_in": 15, "inlet_in": 60, "flow_gpd": 300}}
    ).results
    assert told["reserve_h"] == pytest.approx(36.0)


def test_one_reading_is_pumped_by_one_rule_set_and_not_by_another() -> None:
    """Scum 4 in above the baffle: EPA says pump (6 in), Minnesota (3) and Massachusetts (2) not."""
    rows = {row["rule_set"]: row["pump"] for row in series_answer(figures()).rows}
    assert rows == {"MN": False, "MA": False, "EPA": True, "WI": False}


@pytest.mark.parametrize(
    ("section", "name", "value", "told"),
    [
        ("supply", "lift_ft", "ten", r"\[supply\]: lift_ft is “ten”. Give a number"),
        ("supply", "pump", [1, 2], r"\[supply\]: pump must be pairs"),
        ("supply", "pipe", 2.25, r"\[supply\]: no pipe of nominal size 2.25 in"),
        ("manifold", "sizze", 2, r"\[manifold\]: sizze is not known. Known: "),
        ("squirt", "heights_in", [1.0], r"1 heights_in for 3 laterals"),
    ],
)
def test_a_wrong_figure_is_told_with_its_section(
    section: str, name: str, value: object, told: str
) -> None:
    given = figures()
    given[section][name] = value
    with pytest.raises(RangeError, match=told):
        explain_answer(given)


def test_all_that_is_wrong_in_a_lateral_is_told_at_once() -> None:
    given = figures()
    given["lateral"][1] = {"holes": 2.5, "spacing_ft": "two"}
    with pytest.raises(RangeError) as wrong:
        network_given(given)
    assert "[[lateral]] 2: holes is 2.5. Give a whole number." in str(wrong.value)
    assert "[[lateral]] 2: spacing_ft is “two”. Give a number." in str(wrong.value)
    assert "[[lateral]] 2: pipe is missing" in str(wrong.value)


@pytest.mark.parametrize("ask", [purge_of, flow_answer, tank_answer])
def test_a_missing_section_names_the_example(ask: Any) -> None:
    with pytest.raises(RangeError, match="riserway hydraulics example"):
        ask({"lateral": [{}]})
