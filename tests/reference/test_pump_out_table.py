"""Pump-out intervals against the published table.

Penn State extension, "Septic Tank Pumping" (F-161), after Mancl, J. Environ. Eng. 110 (1984)
283–285, as two public copies print it: years by gallons (rows) and people (columns). One prints
30.9 for 2,500 gal and 1 person; 31.9 fits the column's steps of 3.2 to 3.3 years.
"""

import numpy as np
import pytest

from registry.due import pump_out_years
from registry.due.pump_out_table import fitted_pump_out_years
from registry.errors import RangeError

PRINTED = """
500 5.8 2.6 1.5 1.0 0.7 0.4 0.3 0.2 0.1 -
750 9.1 4.2 2.6 1.8 1.3 1.0 0.7 0.6 0.4 0.3
900 11.0 5.2 3.3 2.3 1.7 1.3 1.0 0.8 0.7 0.5
1000 12.4 5.9 3.7 2.6 2.0 1.5 1.2 1.0 0.8 0.7
1250 15.6 7.5 4.8 3.4 2.6 2.0 1.7 1.4 1.2 1.0
1500 18.9 9.1 5.9 4.2 3.3 2.6 2.1 1.8 1.5 1.3
1750 22.1 10.7 6.9 5.0 3.9 3.1 2.6 2.2 1.9 1.6
2000 25.4 12.4 8.0 5.9 4.5 3.7 3.1 2.6 2.2 2.0
2250 28.6 14.0 9.1 6.7 5.2 4.2 3.5 3.0 2.6 2.3
2500 31.9 15.6 10.2 7.5 5.9 4.8 4.0 3.5 3.0 2.6
"""
CELLS = [
    (float(gal), people, float(years))
    for gal, *row in (line.split() for line in PRINTED.split("\n") if line)
    for people, years in enumerate(row, start=1)
    if years != "-"
]


def test_the_table_has_99_cells():
    assert len(CELLS) == 99


@pytest.mark.parametrize(("gal", "people", "years"), CELLS)
def test_every_printed_cell_is_answered_as_printed(gal, people, years):
    assert pump_out_years(gal, people) == pytest.approx(years, abs=1e-9)


@pytest.mark.parametrize(("gal", "people", "years"), CELLS)
def test_the_fitted_formula_is_within_a_rounding_of_every_cell(gal, people, years):
    """0.1 is printed; the fit (ours, by least squares) misses no cell by more than 0.08."""
    assert fitted_pump_out_years(gal, people) == pytest.approx(years, abs=0.08)


def test_the_disputed_cell_fits_the_steps_of_its_column():
    column = [years for gal, people, years in CELLS if people == 1 and gal >= 1000]
    assert all(3.1 < step < 3.4 for step in np.diff(column))


def test_between_the_cells_the_years_lie_on_a_straight_line():
    assert pump_out_years(1125, 4) == pytest.approx((2.6 + 3.4) / 2)
    assert pump_out_years(1000, 2.5) == pytest.approx((5.9 + 3.7) / 2)
    assert pump_out_years(1125, 2.5) == pytest.approx((5.9 + 3.7 + 7.5 + 4.8) / 4)


def test_beside_the_blank_cell_and_outside_the_table_the_formula_answers():
    assert pump_out_years(500, 10) == fitted_pump_out_years(500, 10)
    assert pump_out_years(600, 9.5) == fitted_pump_out_years(600, 9.5)
    assert pump_out_years(3000, 4) == pytest.approx((3000 - 196) / 307.6)
    assert pump_out_years(1500, 0.5) == fitted_pump_out_years(1500, 0.5)


def test_a_tank_that_holds_less_than_a_days_flow_is_due_at_once():
    assert pump_out_years(400, 12) == 0


@pytest.mark.parametrize(
    ("gal", "people"), [(299, 3), (5001, 3), (1000, 0), (1000, 21), (float("nan"), 2)]
)
def test_outside_its_range_the_estimate_is_refused(gal, people):
    with pytest.raises(RangeError, match="Measure scum and sludge"):
        pump_out_years(gal, people)


def test_arrays_are_answered_cell_by_cell():
    gal, people, years = (np.array(column, float) for column in zip(*CELLS, strict=True))
    assert pump_out_years(gal, people) == pytest.approx(years, abs=1e-9)
