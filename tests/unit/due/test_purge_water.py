"""The water to bring for purging laterals, from the field on file; pipe volume by geometry."""

import math
from dataclasses import replace
from datetime import date

import pytest

from registry.due.equipment import equipment
from registry.due.purge_need import purge_need
from registry.due.visits import DueSite, due_visit_of
from registry.hydraulics.on_file import FieldOnFile, field_on_file
from registry.records.systems import Component, ComponentKind
from registry.records.work import Obligation, TaskKind
from registry.services.field_hydraulics import plan_purge

CURVE = "0 40, 20 37, 40 30, 60 18, 75 5"
PARTS = (
    Component(
        kind=ComponentKind.PUMP,
        details={"curve": CURVE, "lift_ft": "12", "supply_in": "2", "supply_ft": "80"},
    ),
    Component(kind=ComponentKind.PUMP_TANK, gal_per_in=17.5),
    Component(kind=ComponentKind.FLOATS, details={"off_in": "14"}),
    Component(kind=ComponentKind.MANIFOLD, pipe_in=2.0),
    Component(
        kind=ComponentKind.LATERALS,
        count=4,
        length_ft=50.0,
        pipe_in=1.25,
        orifice_in=0.125,
        spacing_ft=2.0,
    ),
    *(Component(kind=ComponentKind.BALANCING_VALVE, turns_open=2.0) for _ in range(4)),
)
FIELD = field_on_file(PARTS)
PURGE = TaskKind(
    code="purge", name="Purge", minutes=8, water_gal=5.0, water_each_gal={"laterals": 7.0},
    source="planning figure",
)  # fmt: skip
DAY = date(2026, 6, 9)
INSIDE_IN = 1.380
"""Inside diameter of 1 1/4 in Schedule 40 pipe (ASTM D1785, as published by its makers)."""


def visit_of(parts: tuple[Component, ...]):
    found = equipment("pressure distribution", parts)
    found.pressure_field = field_on_file(parts)
    due = DueSite(
        site_id=1,
        key="S-1",
        obligations=(Obligation(site_id=1, system_id=9, task="purge", due_on=DAY),),
        equipment={9: found},
        systems={9: ("pressure distribution", "A")},
    )
    return due_visit_of(due, {"purge": PURGE}, DAY)


def test_each_lateral_is_turned_over_twice_and_its_holes_take_their_share() -> None:
    pipe_gal = math.pi / 4 * INSIDE_IN**2 * 12 * 50 / 231
    need = purge_need(FIELD)
    assert need is not None
    assert need.needed_gal > 4 * 2 * pipe_gal
    assert (
        need.needed_gal < 4 * 2 * pipe_gal * 4
    )  # 26 holes of 1/8 in take less than three times the end
    assert need.needed_gal == pytest.approx(plan_purge(FIELD.sections()).plan.pumped_gal)
    assert need.hose_min == pytest.approx(need.needed_gal / 5.0)
    faster = purge_need(replace(FIELD, hose_gpm=10.0))
    assert faster is not None
    assert faster.hose_min == pytest.approx(need.needed_gal / 10.0)


def test_the_purge_plan_takes_the_place_of_the_planning_figure_and_says_so() -> None:
    need = purge_need(FIELD)
    visit = visit_of(PARTS)
    assert need is not None
    assert visit.water_needed_gal == pytest.approx(5.0 + need.needed_gal)
    assert (visit.purge_gal, visit.purge_hose_min) == (
        pytest.approx(need.needed_gal),
        pytest.approx(need.hose_min),
    )
    (line,) = [one for one in visit.water_trace if "laterals" in one.label]
    assert "pump curve on file" in line.source


def test_without_a_pump_curve_the_planning_figure_stands() -> None:
    visit = visit_of(tuple(one for one in PARTS if one.kind is not ComponentKind.PUMP))
    assert visit.water_needed_gal == 5.0 + 4 * 7.0
    assert (visit.purge_gal, visit.purge_hose_min) == (28.0, None)


@pytest.mark.parametrize(
    ("without", "missing"),
    [
        (ComponentKind.MANIFOLD, "size of the manifold"),
        (ComponentKind.LATERALS, "number of laterals"),
    ],
)
def test_what_is_not_on_file_is_named(without: ComponentKind, missing: str) -> None:
    field = field_on_file(one for one in PARTS if one.kind is not without)
    assert missing in field.missing
    assert purge_need(field) is None


@pytest.mark.parametrize("curve", ["", "0 40", "nonsense", "0 40, 20", "0 40, 20 x"])
def test_a_curve_that_is_none_counts_as_missing(curve: str) -> None:
    pump = replace(PARTS[0], details={**PARTS[0].details, "curve": curve})
    assert field_on_file((pump, *PARTS[1:])).missing == ("pump curve",)


def test_a_pump_that_does_not_reach_the_laterals_makes_no_plan() -> None:
    assert purge_need(FieldOnFile()) is None
    rising = replace(FIELD, pump_curve=((0.0, 10.0), (20.0, 30.0)))
    assert purge_need(rising) is None
