"""Elevations are compared in one vertical datum or not at all."""

import numpy as np
import pytest

from registry.errors import DatumError, RangeError
from registry.flood import (
    NOT_A_DETERMINATION,
    Elevation,
    OffsetGrid,
    can_compare,
    freeboard_ft,
    grid_offset_ft,
    to_datum,
)
from registry.records.places import LonLat

UNLIKE = [("NAVD88", "NGVD29"), ("NAVD88", ""), ("", ""), ("NP", "-9999"), ("NAVD88", "COE1912"),
          ("LOCAL TIDAL DATUM", "LOCAL TIDAL DATUM"), ("MSL", "MSL"), ("MLLW", "MLLW")]  # fmt: skip


@pytest.mark.parametrize(("one", "other"), UNLIKE)
def test_unlike_or_unknown_datums_have_no_freeboard(one, other):
    assert not can_compare(Elevation(212.4, one), Elevation(211.0, other))
    with pytest.raises(DatumError, match="state the offset"):
        freeboard_ft(Elevation(212.4, one), Elevation(211.0, other))


@pytest.mark.parametrize(
    "spelling", ["NAVD88", "NAVD 88", "navd 1988", "North American Vertical Datum 1988"]
)
def test_spellings_of_one_datum_are_one_datum(spelling):
    assert freeboard_ft(Elevation(10.0, spelling), Elevation(9.0, "NAVD88")) == 1.0


def test_another_named_datum_compares_with_itself():
    assert freeboard_ft(Elevation(10.0, "GUVD03"), Elevation(9.0, "GUVD03")) == 1.0


def test_there_and_back_is_the_same_elevation():
    old = Elevation(100.0, "NGVD29")
    new = to_datum(old, "NAVD88", 3.4)
    assert to_datum(new, "NGVD29", 3.4).value_ft == pytest.approx(old.value_ft)
    assert to_datum(new, "NAVD 88") is new


@pytest.mark.parametrize(
    ("datum", "wanted", "offset_ft", "told"),
    [
        ("NGVD29", "NAVD88", None, "no offset from NGVD29 to NAVD88 is stated"),
        ("", "NAVD88", 3.4, "an unknown datum"),
        ("MSL", "NAVD88", 3.4, "no offset leads from MSL"),
        ("NAVD88", "GUVD03", 3.4, "no offset leads from NAVD88 to GUVD03"),
    ],
)
def test_what_cannot_be_brought_to_a_datum_is_refused(datum, wanted, offset_ft, told):
    with pytest.raises(DatumError, match=told):
        to_datum(Elevation(100.0, datum), wanted, offset_ft)


@pytest.mark.parametrize("offset_ft", [float("nan"), 1000.0])
def test_an_offset_that_is_none_is_refused(offset_ft):
    with pytest.raises(RangeError, match="give a few feet"):
        to_datum(Elevation(100.0, "NGVD29"), "NAVD88", offset_ft)


def test_elevations_have_no_order():
    with pytest.raises(TypeError):
        assert Elevation(1.0, "NAVD88") < Elevation(2.0, "NAVD88")


GRID = OffsetGrid(-123.0, 45.0, 0.5, 0.25, np.array([[3.0, 3.2], [3.4, 3.6], [np.nan, 3.8]]))


@pytest.mark.parametrize(
    ("lon", "lat", "offset_ft"),
    [
        (-123.0, 45.0, 3.0),
        (-122.5, 45.25, 3.6),
        (-122.75, 45.125, 3.3),
        (-122.75, 45.4, None),
        (-123.01, 45.1, None),
        (-122.49, 45.1, None),
    ],
)
def test_a_grid_gives_its_offset_between_nodes_and_nothing_outside(lon, lat, offset_ft):
    found = grid_offset_ft(GRID, LonLat(lon, lat))
    assert found is None if offset_ft is None else found == pytest.approx(offset_ft)


def test_a_grid_needs_two_rows_and_two_columns():
    with pytest.raises(RangeError, match="two rows"):
        OffsetGrid(0, 0, 1, 1, np.zeros((1, 5)))
    with pytest.raises(RangeError, match="steps"):
        OffsetGrid(0, 0, 0, 1, np.zeros((2, 2)))


def test_the_caution_says_what_it_is_not():
    assert NOT_A_DETERMINATION.startswith("Not a flood determination:")
