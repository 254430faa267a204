"""Which stage puts a thing under water, and why that may be unknown."""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from registry.flood.going_under import (
    BEYOND,
    DATUMS_DIFFER,
    FAR,
    NO_DATUM,
    NOT_MEASURED,
    Things,
    going_under,
)
from registry.flood.river_profile import sloped
from registry.flood.stationing import Centreline
from registry.records.elevation import Elevation

LINE = Centreline(
    gauge="mill",
    river="Invented River",
    lon_lat_deg=np.array([(-90.0, 45.0), (-90.0, 45.2)]),
    first_mi=0.0,
    last_mi=10.0,
)
PROFILE = sloped(
    Elevation(186.5, "NAVD88"), 5.0, 2.0, stages_ft=(0.0, 30.0), stations_mi=(1.0, 10.0)
)


def under(*things: tuple[float, float, float, str, float]):
    """Things by longitude, latitude, elevation, datum and offset of their place."""
    columns = list(zip(*things, strict=True))
    return going_under(
        Things(
            lon_lat_deg=np.array([*zip(*columns[:2], strict=True)]),
            elevation_ft=np.array(columns[2]),
            datum=np.array(columns[3], np.object_),
            ngvd29_to_navd88_ft=np.array(columns[4]),
        ),
        [LINE],
        {"mill": PROFILE},
    )


def test_a_panel_beside_the_gauge_goes_under_at_its_height_above_the_gauge_s_zero():
    # 21.3 ft on a gauge datum of 186.5 ft is 207.8 ft: figures of a public project log
    found = under((-90.001, 45.1, 207.8, "NAVD88", np.nan))
    assert found.station_mi == pytest.approx([5.0], abs=1e-3)
    assert found.stage_ft == pytest.approx([21.3], abs=2e-3)
    assert found.why_unknown.tolist() == [""]


def test_upstream_the_same_height_goes_under_at_a_lower_stage():
    found = under((-90.0, 45.1, 207.8, "NAVD88", 0.0), (-90.0, 45.14, 207.8, "NAVD88", 0.0))
    assert found.stage_ft[0] - found.stage_ft[1] == pytest.approx(2.0 * 2.0, abs=1e-2)


def test_an_elevation_on_the_other_datum_is_brought_over_by_the_stated_offset():
    # NAVD 88 = NGVD 29 + offset; 100.0 ft with an offset of +3.4 is 103.4 (NFIP instructions)
    found = under(
        (-90.0, 45.1, 207.8 - 3.4, "NGVD29", 3.4), (-90.0, 45.1, 207.8 + 0.9, "NGVD29", -0.9)
    )
    assert found.stage_ft == pytest.approx([21.3, 21.3], abs=2e-3)


def test_what_cannot_be_said_is_not_guessed_and_says_why():
    found = under(
        (-90.0, 45.1, np.nan, "NAVD88", 0.0),
        (-90.0, 45.1, 200.0, "unknown", 0.0),
        (-90.0, 45.1, 200.0, "NGVD29", np.nan),
        (-90.0, 45.1, 200.0, "COE1912", 0.0),
        (-89.0, 45.1, 200.0, "NAVD88", 0.0),
        (-90.0, 45.001, 200.0, "NAVD88", 0.0),
    )
    assert np.isnan(found.stage_ft).all()
    assert found.why_unknown.tolist() == [
        NOT_MEASURED,
        NO_DATUM,
        DATUMS_DIFFER,
        DATUMS_DIFFER,
        FAR,
        BEYOND,
    ]


def test_what_every_stage_or_no_stage_reaches_is_told_as_such():
    found = under((-90.0, 45.1, 100.0, "NAVD88", 0.0), (-90.0, 45.1, 300.0, "NAVD88", 0.0))
    assert found.stage_ft.tolist() == [-np.inf, np.inf]


@given(st.floats(0, 30), st.floats(0, 30), st.floats(150, 260), st.floats(45.021, 45.199))
def test_a_higher_stage_never_dries_anything(one, other, z, lat):
    reached = under((-90.0, lat, z, "NAVD88", 0.0)).stage_ft[0]
    lower, higher = sorted((one, other))
    assert not (lower >= reached) or higher >= reached
