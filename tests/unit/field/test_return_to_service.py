"""Nothing is left wrong: the items that fit a site."""

from registry.field.return_to_service import ReturnItem, return_to_service
from registry.records.systems import Component, ComponentKind

PRESSURE = [
    Component(kind=ComponentKind.CONTROL_PANEL),
    Component(kind=ComponentKind.PUMP_TANK),
    Component(kind=ComponentKind.BALANCING_VALVE, label="V1", turns_open=3.5),
    Component(kind=ComponentKind.BALANCING_VALVE, label="V2", turns_open=0),
    Component(kind=ComponentKind.BALANCING_VALVE, label="V3"),
    Component(kind=ComponentKind.PURGE_END, count=4),
    Component(kind=ComponentKind.EFFLUENT_FILTER),
    Component(kind=ComponentKind.LID, count=2),
    Component(kind=ComponentKind.LID),
]


def codes(items: tuple[ReturnItem, ...]) -> list[str]:
    """Return the items' codes."""
    return [item.code for item in items]


def test_a_pressure_system_is_asked_for_everything_in_order() -> None:
    # The list is common practice, no source.
    assert codes(return_to_service(PRESSURE)) == [
        *("power", "alarm", "timer", "valves", "valves", "valves", "caps", "filter", "counter"),
        *("lids", "ground", "gate", "tools", "wash", "owner"),
    ]


def test_a_gravity_system_is_not_asked_for_a_pump() -> None:
    gravity = [Component(kind=ComponentKind.SEPTIC_TANK), Component(kind=ComponentKind.LID)]
    assert codes(return_to_service(gravity)) == ["lids", "ground", "gate", "tools", "wash", "owner"]


def test_a_site_with_nothing_on_file_is_asked_for_all() -> None:
    asked = set(codes(return_to_service([])))
    assert {"power", "alarm", "timer", "valves", "caps", "filter", "counter", "lids"} <= asked


def test_what_is_on_file_stands_beside_each_item() -> None:
    items = return_to_service(PRESSURE)
    valves = [item.as_found for item in items if item.code == "valves"]
    assert valves == ["3.5 turns open", "shut", "no position on file: write it down"]
    found = {item.code: item.as_found for item in items}
    assert (found["caps"], found["lids"]) == ("4 on file", "3 lids on file")
    assert items[3].text == "Balancing valve: V1 at its recorded position"


def test_laterals_without_valves_on_file_still_ask_for_the_valves() -> None:
    items = return_to_service([Component(kind=ComponentKind.LATERALS)])
    assert "valves" in codes(items)


def test_the_three_classic_misses_are_marked() -> None:
    missed = {item.code for item in return_to_service(PRESSURE) if item.is_classic_miss}
    assert missed == {"power", "valves", "lids"}
