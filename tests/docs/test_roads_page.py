"""docs/roads.md says of engines, speeds and snapping what the program does."""

from registry.roads.drivable import (
    LANE_SPEEDS_KM_H,
    ROAD_SPEEDS_KM_H,
    SIGNED_SHARE,
    SURFACE_LIMITS_KM_H,
)
from registry.roads.snapping import DETOUR_M, REFUSE_M, WARN_M
from registry.roads.straight_line import SOURCE
from registry.services.import_roads import OSM_CREDIT
from tests.docs.tables import ROOT, rows

TEXT = " ".join((ROOT / "docs/roads.md").read_text(encoding="utf-8").split())


def numbers(heading: str) -> dict[str, float]:
    return {name: float(value) for name, value in rows("docs/roads.md", heading)}


def test_the_speeds_are_those_of_the_program() -> None:
    assert numbers("class") == {**ROAD_SPEEDS_KM_H, **LANE_SPEEDS_KM_H}
    assert numbers("surface") == dict(SURFACE_LIMITS_KM_H)
    assert f"driven at {SIGNED_SHARE:.0%}".replace("%", " %") in TEXT


def test_the_distances_are_those_of_the_program() -> None:
    assert f"farther than {WARN_M:g} m from any road" in TEXT
    assert f"farther than {REFUSE_M / 1000:g} km" in TEXT
    assert f"at most {DETOUR_M:g} m farther" in TEXT


def test_the_straight_line_is_described_as_plans_describe_it() -> None:
    assert SOURCE.partition(",")[0] in [engine for engine, *_ in rows("docs/roads.md", "engine")]


def test_the_credit_is_the_one_that_is_written() -> None:
    assert OSM_CREDIT in TEXT
