"""206 gauges of the US Geological Survey, with their datums, as NWIS published them in 2020.

DOI-USGS/dataretrieval-python, tests/data/nwis_sites.txt, US public domain; the counts were made by
hand beside the file: 104 on NGVD 29, 50 on NAVD 88, 3 on COE1912, 49 without an altitude.
"""

import csv
from collections import Counter

import numpy as np
import pytest

from registry.flood.going_under import DATUMS_DIFFER, FAR, NO_DATUM, Things, going_under
from registry.flood.river_profile import sloped
from registry.flood.stationing import Centreline
from registry.services.import_river import import_river
from registry.store import open_store
from registry.store.rivers import gauges
from tests.store.importing import counts, request

ABOVE_FT = 10.0


@pytest.fixture(scope="module")
def published(reference_data):
    path = reference_data / "data" / "hydro" / "usgs_nwis_sites.txt"
    lines = [one for one in path.read_text().splitlines() if one and not one.startswith("#")]
    names, _, *rows = csv.reader(lines, delimiter="\t")
    return [dict(zip(names, row, strict=True)) for row in rows]


@pytest.fixture
def known(published, sqlite_url, tmp_path):
    path = tmp_path / "gauges.csv"
    with path.open("w", newline="") as file:
        out = csv.writer(file)
        out.writerow(["gauge", "river", "station_mi", "zero_ft", "datum"])
        for one in published:
            altitude = one["alt_va"].strip()
            out.writerow([one["site_no"], one["station_nm"], 5, altitude, one["alt_datum_cd"]])
    store = open_store(sqlite_url)
    with store.session() as session:
        assert counts(import_river(session, request(path), "gauges")) == (206, 206, 0, 0, 0)
        found = gauges(session)
    store.close()
    return found


def test_each_gauge_keeps_its_number_its_datum_and_its_blank_altitude(known):
    datums = Counter(one.zero.datum if one.zero else "" for one in known)
    assert datums == {"NGVD29": 104, "NAVD88": 50, "COE1912": 3, "": 49}
    assert all(len(one.name) in {8, 15} and one.name[0] == "0" for one in known)


def test_no_stage_is_said_across_datums_without_an_offset(known, published):
    at = {
        one["site_no"]: (float(one["dec_long_va"]), float(one["dec_lat_va"])) for one in published
    }
    mine = [one for one in known if one.zero is not None]
    lines = [
        Centreline(
            gauge=one.name,
            river=one.river,
            lon_lat_deg=np.array(at[one.name]) + np.array([[0.0, -1e-4], [0.0, 1e-4]]),
            first_mi=0.0,
            last_mi=10.0,
        )
        for one in mine
    ]
    profiles = {
        one.name: sloped(one.zero, 5.0, 0.0, stages_ft=(0.0, 50.0), stations_mi=(0.0, 10.0))
        for one in mine
    }

    def found(offset_ft):
        """A panel ten feet above each gauge's figure, but surveyed on NAVD 88."""
        things = Things(
            lon_lat_deg=np.array([at[one.name] for one in mine]),
            elevation_ft=np.array([one.zero.value_ft + ABOVE_FT for one in mine]),
            datum=np.array(["NAVD88"] * len(mine), object),
            ngvd29_to_navd88_ft=np.full(len(mine), offset_ft),
        )
        return going_under(things, lines, profiles)

    without, with_offset = found(np.nan), found(-0.9)
    for i, one in enumerate(mine):
        told = without.stage_ft[i], without.why_unknown[i]
        if one.zero.datum == "NAVD88":
            assert told == (pytest.approx(ABOVE_FT), "")
            continue
        assert np.isnan(told[0])
        assert told[1] in {DATUMS_DIFFER, NO_DATUM, FAR}
        # NAVD 88 = NGVD 29 + offset, so the panel stands 0.9 ft higher above NGVD 29
        expected = ABOVE_FT + 0.9 if one.zero.datum == "NGVD29" else np.nan
        assert with_offset.stage_ft[i] == pytest.approx(expected, nan_ok=True)
