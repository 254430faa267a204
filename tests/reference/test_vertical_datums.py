"""NFIP vertical datum conversion instructions: NAVD 88 = NGVD 29 + an offset that varies by place.

Status: rule verified; the figures and the freeboards are derived from it.
"""

import pytest

from registry.errors import DatumError
from registry.flood import Elevation, freeboard_ft, to_datum


@pytest.mark.parametrize(("offset_ft", "navd88_ft"), [(3.4, 103.4), (-0.9, 99.1)])
def test_100_feet_ngvd29_become_navd88_by_the_stated_offset(offset_ft, navd88_ft):
    moved = to_datum(Elevation(100.0, "NGVD29"), "NAVD88", offset_ft)
    assert moved.value_ft == pytest.approx(navd88_ft)
    assert moved.datum == "NAVD88"


def test_without_a_stated_offset_the_comparison_is_refused():
    with pytest.raises(DatumError):
        to_datum(Elevation(100.0, "NGVD29"), "NAVD88", None)
    with pytest.raises(DatumError):
        freeboard_ft(Elevation(100.0, "NGVD29"), Elevation(100.0, "NAVD88"))


def test_a_panel_at_212_4_over_a_bfe_of_211_0_has_1_4_feet():
    bfe = Elevation(211.0, "NAVD88")
    panel_ft = freeboard_ft(Elevation(212.4, "NAVD88"), bfe)
    assert panel_ft == pytest.approx(1.4)
    assert panel_ft - 1 == pytest.approx(0.4)


def test_a_stage_over_its_gage_datum_is_a_water_elevation():
    """21.3 ft on a gage datum of 186.5 ft; a panel at 208.3 ft stays 0.5 ft above it."""
    water = Elevation(186.5 + 21.3, "NAVD88")
    assert freeboard_ft(Elevation(208.3, "NAVD88"), water) == pytest.approx(0.5)
