"""The gate sheet is complete and in order, whatever is missing on file."""

from dataclasses import fields
from datetime import date

from registry.field.cautions import CAUTIONS
from registry.field.gate_sheet import GateSheet, gate_sheet
from registry.records.elevation import Elevation
from registry.records.flood import FloodFact
from registry.records.places import Hazard, Site
from registry.records.systems import Component, ComponentKind, System
from registry.records.visits import DueVisit, Reading
from registry.records.work import TaskKind

ON = date(2026, 3, 3)
SITE = Site(id=1, key="R-0001", hazards=(Hazard("dog", "loose"),), water_available_gal=20)
SYSTEM = System(
    id=9,
    components=(
        Component(id=1, kind=ComponentKind.PURGE_END, label="north", bearing_deg=0, distance_ft=25),
        Component(id=2, kind=ComponentKind.PURGE_END, label="south"),
        Component(
            id=3,
            kind=ComponentKind.CONTROL_PANEL,
            elevation=Elevation(212.4, "NAVD88"),
        ),
    ),
)
PURGE = TaskKind(
    code="purge",
    name="Lateral purge and balance",
    minutes=10,
    tools=("valve key", "tape"),
    steps=("Flush each lateral.",),
    cautions=("Stand clear of the open end.",),
    readings=("squirt height", "amps"),
)
VISIT = DueVisit(
    site_id=1,
    site_key="R-0001",
    lon_lat=None,
    tasks=("purge",),
    service_min=60,
    water_needed_gal=60,
    water_bring_gal=40,
    licences=("maintenance",),
    windows=((540, 660),),
    due_on=ON,
    days_overdue=3,
    worth_s=900,
)
SQUIRT = Reading(
    id="r1",
    visit_id="v1",
    site_id=1,
    system_id=9,
    component_id=1,
    kind="squirt height",
    value=4.5,
    unit="ft",
    read_on=date(2025, 4, 1),
)


def sheet(visit: DueVisit | None = VISIT, systems: tuple[System, ...] = (SYSTEM,)) -> GateSheet:
    """Return a sheet of the site above."""
    fact = FloodFact(site_id=1, zone="AE", bfe=Elevation(211.0, "NAVD88"))
    kinds = {"purge": PURGE}
    return gate_sheet(SITE, systems, visit, kinds, on_date=ON, fact=fact, readings=[SQUIRT])


def test_the_sheet_goes_from_hazards_to_return_to_service() -> None:
    order = [one.name for one in fields(GateSheet)]
    steps = ["hazards", "cautions", "parts", "bring", "tasks", "return_items"]
    assert [name for name in order if name in steps] == steps
    assert sheet().hazards == (Hazard("dog", "loose"),)


def test_parts_carry_their_height_against_the_base_flood_elevation() -> None:
    panel, north, south = sheet().parts
    assert panel.component.kind is ComponentKind.CONTROL_PANEL
    assert panel.freeboard_ft is not None
    assert round(panel.freeboard_ft, 6) == 1.4
    assert (north.paces, south.paces) == (10, None)


def test_what_to_bring_is_what_the_visit_says_and_the_tools_of_its_tasks() -> None:
    bring = sheet().bring
    assert bring.tools == ("valve key", "tape")
    assert (bring.water_needed_gal, bring.water_available_gal, bring.water_bring_gal) == (
        60,
        20,
        40,
    )
    assert bring.licences == ("maintenance",)


def test_last_readings_stand_beside_the_ones_to_take_at_every_part() -> None:
    (task,) = sheet().tasks
    assert task.steps == ("Flush each lateral.",)
    north, south, amps = task.prompts
    assert (north.part, north.unit) == ("purge end: north", "ft")
    assert north.last is SQUIRT
    assert (south.part, south.last, south.unit) == ("purge end: south", None, "ft")
    assert (amps.kind, amps.part, amps.last) == ("amps", "", None)


def test_a_task_that_is_no_longer_known_keeps_its_own_word() -> None:
    odd = DueVisit(
        **{**{one.name: getattr(VISIT, one.name) for one in fields(VISIT)}, "tasks": ("weeding",)}
    )
    assert [task.name for task in sheet(odd).tasks] == ["weeding"]


def test_tasks_are_found_by_name_as_well() -> None:
    named = {one.name: getattr(VISIT, one.name) for one in fields(VISIT)}
    by_name = DueVisit(**{**named, "tasks": ("Lateral purge and balance",)})
    assert sheet(by_name).tasks[0].code == "purge"


def test_a_site_without_anything_due_or_on_file_has_a_sheet_too() -> None:
    bare = gate_sheet(Site(key="R-2"), [], None, {}, on_date=ON)
    assert bare.tasks == ()
    assert bare.parts == ()
    assert bare.cautions
    assert len(bare.return_items) >= 10


def test_the_cautions_that_must_always_stand_there_do() -> None:
    said = " ".join(one.text.lower() for one in sheet(None).cautions)
    for words in (
        "never enter a tank",
        "gas",
        "power off, locked, tagged and tried before",
        "circuit of its own",
        "safe against children",
        "gloves",
        "wash your hands",
        "never drive into water over a road",
        "local code and licensed practice come first",
    ):
        assert words in said
    assert {one.code for one in CAUTIONS if not one.source} == {"code"}
