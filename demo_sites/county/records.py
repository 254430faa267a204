"""All records of the invented county, in the order in which chance draws them."""

from dataclasses import dataclass
from random import Random

from demo_sites.county.components import PRESSURE, Built, build
from demo_sites.county.history import CLOGGING, LEAKING, ROLLED, SHUT, WORN, course, rows_of
from demo_sites.county.homes import Spot
from demo_sites.county.households import Cells, Home, agreements, household

TO_LOCATE = 5
"""Homes whose position nobody has written down yet."""
CAMP = "Otter Flat Camp"
DRIFTS = (CLOGGING, CLOGGING, CLOGGING, WORN, WORN, ROLLED, LEAKING, SHUT)


FORGOTTEN_DAYS = (134, 402, 97, 221, 168, 311)
"""Days by which a few systems are overdue that everybody forgot."""


@dataclass(frozen=True, slots=True)
class Records:
    """Rows of every file, and the homes they are about."""

    homes: list[Home]
    built: list[Built]
    sites: list[Cells]
    systems: list[Cells]
    components: list[Cells]
    windows: list[Cells]
    agreements: list[Cells]
    conditions: list[Cells]
    readings: list[Cells]


def records(chosen: list[tuple[str, Spot]], rng: Random) -> Records:
    """Return all records of the homes at the chosen spots."""
    homes = [household(number, group, spot, rng) for number, (group, spot) in enumerate(chosen)]
    _unlocate(homes, rng)
    _several_systems(homes)
    built = [
        build(home, system, kind, rng)
        for home in homes
        for system, kind in [(_first_system(home), home.kind), *home.further]
    ]
    with_filter = {one.home.key for one in built if one.has_filter and not one.home.further}
    drifts = _drifts(built)
    late = _forgotten(built, drifts)
    readings = [
        row
        for one in built
        for row in rows_of(course(one, drifts.get(id(one), ""), late.get(id(one), 0), rng), rng)
    ]
    return Records(
        homes=homes,
        built=built,
        sites=[home.cells for home in homes],
        systems=[row for home in homes for row in _further_rows(home)],
        components=[row for one in built for row in one.rows],
        windows=[row for home in homes for row in home.windows],
        agreements=agreements(homes, with_filter, rng),
        conditions=_conditions(built, rng),
        readings=sorted(readings, key=lambda row: (row["date"], row["site"])),
    )


def _unlocate(homes: list[Home], rng: Random) -> None:
    """Take away the position of a few homes on the hills; address and parcel stay."""
    for home in rng.sample([one for one in homes if one.group == "hill"], TO_LOCATE):
        home.located = False
        for name in ("lon", "lat", "position_source", "position_accuracy_m"):
            del home.cells[name]


def _first_system(home: Home) -> str:
    return "A" if home.further else ""


def _several_systems(homes: list[Home]) -> None:
    """Give the camp, the school and an inn more than one system."""
    near_camp = min(homes, key=lambda h: (h.spot.u - 18_760) ** 2 + (h.spot.d - 60) ** 2)
    school = min(homes, key=lambda h: (h.spot.u - 20_870) ** 2 + (h.spot.d - 1_150) ** 2)
    inn = min(homes, key=lambda h: (h.spot.u - 560) ** 2 + (h.spot.d - 1_500) ** 2)
    for home, name, kinds in (
        (near_camp, CAMP, ("pressure distribution", "mound", "holding tank")),
        (school, "Larkhollow School", ("pressure distribution", "sand filter")),
        (inn, "Sedgeby Inn", ("secondary treatment", "pressure distribution")),
    ):
        home.kind = kinds[0]
        home.further = [(chr(ord("B") + k), kind) for k, kind in enumerate(kinds[1:])]
        home.people = 9
        home.cells |= {
            "kind": kinds[0], "system_key": "A", "note": name, "people": "9",
            "design_flow_gpd": "1500", "owner_name": f"{name}, office",
        }  # fmt: skip


def _further_rows(home: Home) -> list[Cells]:
    shared = ("permit_status", "people", "installed_on")
    return [
        {
            "site": home.key, "system": system, "kind": kind,
            "permit_no": f"{home.cells['permit_no']}{system}", "design_flow_gpd": "900",
        }
        | {name: home.cells[name] for name in shared}
        for system, kind in home.further
    ]  # fmt: skip


def _drifts(built: list[Built]) -> dict[int, str]:
    """Return which systems drift, and how: spread along the valley."""
    fit = [
        one
        for one in built
        if one.kind in PRESSURE and not one.system and one.home.installed_on.year < 2022
    ]
    step = len(fit) // len(DRIFTS)
    return {id(fit[k * step + step // 2]): drift for k, drift in enumerate(DRIFTS)}


def _forgotten(built: list[Built], drifts: dict[int, str]) -> dict[int, int]:
    """Return which systems nobody went to for long, and by how many days they are overdue."""
    fit = [
        one
        for one in built
        if id(one) not in drifts and not one.system and 1990 < one.home.installed_on.year < 2020
    ]
    step = len(fit) // len(FORGOTTEN_DAYS)
    return {id(fit[k * step + step // 3]): days for k, days in enumerate(FORGOTTEN_DAYS)}


def _conditions(built: list[Built], rng: Random) -> list[Cells]:
    rows = []
    for one in built:
        draw = rng.random()
        permit = one.home.cells["permit_no"]
        head = {"site": one.home.key, "system": one.system}
        if one.has_filter and draw < 0.06:
            cells = {"task": "filter", "months": "6", "citation": f"Permit {permit}, condition 3"}
            rows.append(head | cells | {"is_waiver": "no"})
        elif one.kind in PRESSURE and draw < 0.11:
            cells = {"task": "purge", "months": "6", "citation": f"Permit {permit}, condition 5"}
            rows.append(head | cells | {"is_waiver": "no"})
        elif one.kind in PRESSURE and draw < 0.17:
            cells = {
                "task": "inspection",
                "months": "24",
                "citation": f"Waiver to {permit} of 2024",
            }
            rows.append(head | cells | {"is_waiver": "yes"})
    return rows
