"""Flood zones in plain words."""

import json
from pathlib import Path

import pytest

from web.zone_words import zone_words


@pytest.mark.parametrize(
    ("zone", "subtype", "part"),
    [
        ("AE", "", "base flood elevation known"),
        ("AE", "FLOODWAY", "in the floodway"),
        ("A12", "", "base flood elevation known"),
        ("A", "", "no base flood elevation"),
        ("ao", "", "a depth is given, not an elevation"),
        ("X", "0.2 PCT ANNUAL CHANCE FLOOD HAZARD", "between 1 % and 0.2 %"),
        ("X", "AREA OF MINIMAL FLOOD HAZARD", "lowest chance"),
        ("X", "AREA WITH REDUCED FLOOD HAZARD DUE TO LEVEE SYSTEM", "lowered by a levee"),
        ("D", "", "not studied"),
        ("", "", "no flood map covers this place"),
        ("Q7", "", "the map's own word"),
        ("AE", "DENSITY FRINGE AREA", "DENSITY FRINGE AREA (the map's own words)"),
    ],
)
def test_zones_mean_what_femas_definitions_say(zone: str, subtype: str, part: str) -> None:
    # FEMA's flood zone definitions, as restated in public documents.
    assert part in zone_words(zone, subtype)


@pytest.mark.reference_data
def test_every_value_that_the_national_layer_holds_has_words(reference_data: Path) -> None:
    # The values of FEMA's National Flood Hazard Layer, S_FLD_HAZ_AR, as counted in 2026.
    observed = json.loads((reference_data / "data/flood/nfhl_observed_values.json").read_text())
    zones = [one["value"] for one in observed["fields"]["FLD_ZONE"] if one["value"]]
    subtypes = [one["value"] for one in observed["fields"]["ZONE_SUBTY"] if one["value"]]
    assert not [zone for zone in zones if "not one we know" in zone_words(zone)]
    kept = [word for word in subtypes if "map's own words" in zone_words("AE", word)]
    assert len(kept) <= 4
