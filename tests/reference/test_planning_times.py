"""How long things take: the ranges of the trade. COMMON PRACTICE, no source (D-01 to D-09, D-13).

Visits to a system of usual size, with risers on all lids, fall into them.
"""

from importlib.resources import files

import pytest

from registry.due.equipment import Equipment
from registry.due.rules_file import read_rules
from registry.due.visit_needs import minutes, water_needed

TASKS = read_rules(
    files("registry.due").joinpath("defaults.toml").read_text("utf-8"), "defaults.toml"
).tasks
GRAVITY = {"septic tank": 1, "effluent filter": 1, "distribution box": 1}
PRESSURE = {"septic tank": 1, "effluent filter": 1, "pump tank": 1, "laterals": 4}
MOUND = {**PRESSURE, "monitoring well": 3, "purge end": 4}


@pytest.mark.parametrize(
    ("tasks", "has", "least_min", "most_min"),
    [
        pytest.param(("inspection",), GRAVITY, 30, 45, id="D-01 gravity look"),
        pytest.param(("filter",), GRAVITY, 10 + 8, 20 + 12, id="D-02 filter, with D-13"),
        pytest.param(("pump test",), PRESSURE, 20 + 8, 35 + 12, id="D-03 pump tank, with D-13"),
        pytest.param(
            ("filter", "pump test", "purge"), PRESSURE, 60, 90, id="D-04 pressure distribution"
        ),
        pytest.param(
            ("inspection", "filter", "pump test", "purge", "bed check"),
            MOUND, 60, 105, id="D-08 mound",
        ),
        pytest.param(("pump-out",), GRAVITY, 45, 90, id="D-09 pump-out"),
    ],
)  # fmt: skip
def test_a_usual_visit_takes_the_minutes_of_the_trade(
    tasks: tuple[str, ...], has: dict[str, int], least_min: float, most_min: float
) -> None:
    work = [(TASKS[code], Equipment(dict(has)), "") for code in tasks]
    assert least_min <= minutes(work, TASKS).total <= most_min


@pytest.mark.parametrize(
    ("tasks", "has", "least_gal", "most_gal"),
    [
        (("inspection",), GRAVITY, 5, 12),
        (("filter",), GRAVITY, 10, 27),
        (("filter", "pump test", "purge"), PRESSURE, 30, 102),
        (("pump-out",), GRAVITY, 20, 52),
    ],
)
def test_a_usual_visit_takes_the_water_of_the_trade(
    tasks: tuple[str, ...], has: dict[str, int], least_gal: float, most_gal: float
) -> None:
    work = [(TASKS[code], Equipment(dict(has)), "") for code in tasks]
    assert least_gal <= water_needed(work, TASKS).total <= most_gal
