"""The parts of every system: where each lies, how high it stands, what it holds."""

from dataclasses import dataclass, field
from math import sqrt
from random import Random

from demo_sites.county.frame import Place, bearing_deg, distance_m, moved, valley_of
from demo_sites.county.households import Cells, Home
from demo_sites.county.terrain import ground_ft

NAVD88_ABOVE_NGVD29_FT = 3.4
"""Stated offset of the county: NAVD 88 = NGVD 29 + this [ft]."""
TANKS = ((750, 13.9), (1_000, 17.5), (1_250, 21.8), (1_500, 24.9))
"""Capacity of common tanks and gallons for an inch of depth [gal, gal/in]."""
PUMP_TANKS = ((500, 12.24), (750, 17.46), (1_000, 24.94))
PANEL_FT = 4.2
"""Bottom of a control panel above the ground where nobody raised it [ft]."""
PRESSURE = {"pressure distribution", "mound", "at-grade", "sand filter"}
PUMPED = PRESSURE | {"pump to gravity", "secondary treatment"}
WITH_CURVE = ("W-1011", "W-1021", "W-1057", "W-1094")
"""Sites at which the pump's papers were found: its curve is on file, and all valves stand alike."""
TURNS_ALIKE = "2.5"
HEAD_PER_100_FT, VALVES_FT = 1.6, 2.5
"""Feet of head that 30 gpm take in 100 ft of a 2 in pipe; what manifold and valves take."""
CURVE_SHAPE = ((0.0, 1.45), (0.35, 1.38), (0.7, 1.2), (1.0, 1.0), (1.3, 0.72), (1.6, 0.3))
"""A pump's curve by shares of the flow and the head at which it works."""


@dataclass(slots=True)
class Built:
    """One system as built: rows for its components and what its history needs."""

    home: Home
    system: str
    kind: str
    rows: list[Cells] = field(default_factory=list)
    tank_gal: int = 1_000
    liquid_in: float = 48.0
    pump_gal_per_in: float = 12.24
    laterals: int = 0
    squirt_in: float = 0.0
    """Squirt height at start-up [in]."""
    rate_gpm: float = 0.0
    dose_gal: float = 0.0
    buried: bool = False
    wells: int = 0
    has_filter: bool = False


class _Ground:
    """Writes rows and works out where each part lies and how high."""

    def __init__(self, built: Built, rng: Random) -> None:
        self.built, self.home, self.rng = built, built.home, rng
        self.uses_ties = self.home.corner_b is not None and rng.random() < 0.75

    def put(
        self, kind: str, label: str, place: Place, above_ft: float | None, **cells: str
    ) -> None:
        """Add a row; ``above_ft`` is its height above the ground there, None = not surveyed."""
        row = {"site": self.home.key, "system": self.built.system, "kind": kind, "label": label}
        row |= {k: v for k, v in cells.items() if v}
        row |= self._where(place)
        if above_ft is not None and self.home.datum:
            height = ground_ft(*valley_of(place)) + above_ft
            if self.home.datum == "NGVD29":
                height -= NAVD88_ABOVE_NGVD29_FT
            row |= {"elevation_ft": f"{height:.1f}", "elevation_datum": self.home.datum}
        self.built.rows.append(row)

    def _where(self, place: Place) -> Cells:
        corner, second = self.home.corner, self.home.corner_b
        away = distance_m(corner, place) / 0.3048
        if self.uses_ties and second is not None:
            side = (second.x - corner.x) * (place.y - corner.y) - (second.y - corner.y) * (
                place.x - corner.x
            )
            return {
                "tie_a_ft": f"{away:.1f}",
                "tie_b_ft": f"{distance_m(second, place) / 0.3048:.1f}",
                "side": "left" if side > 0 else "right",
            }
        return {
            "bearing_deg": f"{bearing_deg(corner, place):.0f}",
            "distance_ft": f"{away:.0f}",
        }


def build(home: Home, system: str, kind: str, rng: Random) -> Built:
    """Return a system as built."""
    built = Built(home, system, kind)
    ground = _Ground(built, rng)
    turn = rng.choice((-1, 1)) * rng.uniform(18, 40)
    shift = 0.0 if not system or system == "A" else 38.0 * (ord(system[-1]) - ord("A"))
    start = moved(home.spot.place, home.back + 90, shift)
    tank = moved(start, home.back + turn, rng.uniform(8.5, 11.5))
    built.buried = rng.random() < (0.3 if home.installed_on.year < 1990 else 0.06)
    built.has_filter = kind not in {"cesspool", "unknown", "holding tank"} and (
        home.installed_on.year > 1996 or rng.random() < 0.45
    )
    _tank(ground, tank, kind)
    if kind in PUMPED:
        _pump_and_panel(ground, tank, kind)
    if kind in PRESSURE:
        _pressure_field(ground, tank, kind)
    elif kind in {"gravity", "pump to gravity", "secondary treatment"}:
        _gravity_field(ground, tank)
    return built


def _tank(ground: _Ground, tank: Place, kind: str) -> None:
    built, rng, back = ground.built, ground.rng, ground.home.back
    if kind == "cesspool":
        ground.put("other", "cesspool", tank, 0.0, cover_in="14", has_riser="no")
        ground.put("lid", "cesspool lid, concrete", tank, 0.0)
        return
    size = 1 if kind == "holding tank" else min(3, max(0, ground.home.bedrooms - 2))
    built.tank_gal, per_inch = TANKS[min(3, size + rng.choice((0, 0, 1)))]
    built.liquid_in = round(built.tank_gal / per_inch, 1)
    cover = rng.choice((8, 12, 18, 26)) if built.buried else rng.choice((0, 2, 4))
    riser = "no" if built.buried else "yes"
    label = "holding tank" if kind == "holding tank" else "septic tank"
    top = None if built.buried else 0.35
    ground.put(
        "septic tank", label, tank, top, capacity_gal=str(built.tank_gal),
        gal_per_in=f"{per_inch:g}", cover_in=str(cover), has_riser=riser,
    )  # fmt: skip
    inlet, outlet = moved(tank, back + 180, 1.0), moved(tank, back, 1.1)
    material = rng.choice(
        ("green plastic, 4 screws", "concrete, 2 handles", "grey plastic, 6 screws")
    )
    ground.put("lid", "inlet lid", inlet, top, lid=material, has_riser=riser)
    ground.put("lid", "outlet lid", outlet, top, lid=material, has_riser=riser)
    if built.has_filter:
        ground.put(
            "effluent filter", "", outlet, None, handle=rng.choice(("T-handle", "rope", "pipe"))
        )
    if kind == "holding tank":
        ground.put("floats", "high-level alarm at 75 %", tank, None)
        ground.put("control panel", "alarm box", moved(tank, back + 180, 7), _panel_ft(ground))
    if kind == "secondary treatment":
        unit = moved(tank, back, 3.2)
        ground.put("treatment unit", "aeration chamber", unit, 0.5, blower="behind the shed")
        ground.put("vent", "blower and vent", moved(unit, back + 60, 2.2), 1.4)


def _panel_ft(ground: _Ground) -> float:
    """Return how high the panel's bottom hangs: on the plain, some owners have raised it."""
    bfe = ground.home.spot.bfe_ft
    if bfe is None or ground.rng.random() > 0.48:
        return PANEL_FT + ground.rng.uniform(-0.7, 0.6)
    wanted = bfe - ground.home.spot.ground_ft + ground.rng.choice((0.3, 1.1, 1.4, 2.2))
    return max(PANEL_FT, wanted)


def _pump_and_panel(ground: _Ground, tank: Place, kind: str) -> None:
    built, rng, back = ground.built, ground.rng, ground.home.back
    capacity, built.pump_gal_per_in = rng.choice(PUMP_TANKS)
    pump = moved(tank, back + rng.uniform(-12, 12), 4.4)
    if kind == "secondary treatment":
        pump = moved(tank, back, 6.4)
    riser = "no" if built.buried else "yes"
    built.dose_gal = float(rng.choice((45, 60, 75, 90, 110)))
    swing = built.dose_gal / built.pump_gal_per_in
    ground.put(
        "pump tank", "", pump, None if built.buried else 0.4, capacity_gal=str(capacity),
        gal_per_in=f"{built.pump_gal_per_in:g}", has_riser=riser,
        cover_in="10" if built.buried else "0",
    )  # fmt: skip
    ground.put("pump", "", pump, None, power=rng.choice(("1/2 hp, 115 V", "3/4 hp, 230 V")))
    ground.put(
        "floats", "", pump, None, off_in="14", on_in=f"{14 + swing:.1f}",
        alarm_in=f"{19 + swing:.1f}", redundant_off_in="11",
    )  # fmt: skip
    on_house = rng.random() < 0.6
    panel = ground.home.corner if on_house else moved(pump, back + 80, 2.5)
    label = f"control panel on {'the house wall' if on_house else 'a post'}"
    ground.put(
        "control panel", label, panel, _panel_ft(ground),
        breaker=str(rng.choice((7, 9, 11, 12, 14))), control=rng.choice(("timer", "demand float")),
        counter_digits=rng.choice(("5", "6")),
    )  # fmt: skip
    ground.put("disconnect", "", moved(panel, back + 80, 0.8), PANEL_FT - 0.4)


def _gravity_field(ground: _Ground, tank: Place) -> None:
    built, rng, back = ground.built, ground.rng, ground.home.back
    box = moved(tank, back + rng.uniform(-20, 20), rng.uniform(9, 14))
    ground.put("distribution box", "", box, -1.0, cover_in=str(rng.choice((6, 10, 16))))
    lines = rng.choice((2, 3, 3, 4))
    ground.put(
        "drainfield", f"{lines} trenches", moved(box, back, rng.uniform(9, 16)), None,
        count=str(lines), length_ft=str(rng.choice((45, 50, 60, 75))), pipe_in="4",
    )  # fmt: skip
    if rng.random() < 0.45:
        built.wells = 1
        ground.put("monitoring well", "observation pipe", moved(box, back + 8, 19), 0.3)
    if rng.random() < 0.3:
        ground.put("cleanout", "", moved(ground.home.spot.place, back, 6.2), 0.1)


def _pressure_field(ground: _Ground, tank: Place, kind: str) -> None:
    built, rng, back = ground.built, ground.rng, ground.home.back
    built.laterals = rng.choice((3, 3, 4, 4, 5, 6))
    orifice, spacing = rng.choice(((0.125, 2.0), (0.15625, 2.0), (0.1875, 3.0), (0.25, 3.0)))
    head = 5.0 if orifice < 0.18 else 3.0
    length = rng.choice((28, 36, 40, 50, 60))
    built.squirt_in = 12 * head + rng.choice((0, 1, 2, 3))
    holes = built.laterals * max(1, int(length / spacing))
    built.rate_gpm = round(holes * 11.79 * orifice**2 * sqrt(built.squirt_in / 12), 1)
    manifold = moved(tank, back + rng.uniform(-16, 16), rng.uniform(15, 26))
    pipe = "1" if length < 30 else "1.25" if length < 55 else "1.5"
    heading = back + rng.choice((-90, 90))
    ground.put("manifold", "", manifold, None, pipe_in="2")
    ground.put(
        "laterals", f"{built.laterals} laterals", moved(manifold, heading, 0.15 * length), None,
        count=str(built.laterals), length_ft=str(length), pipe_in=pipe, orifice_in=f"{orifice:g}",
        spacing_ft=f"{spacing:g}",
    )  # fmt: skip
    has_curve = ground.home.key in WITH_CURVE
    if has_curve:
        _pump_papers(built, distance_m(tank, manifold) / 0.3048, _rise_ft(tank, manifold))
    for k in range(built.laterals):
        origin = moved(manifold, back, 1.1 * k)
        turns = f"{rng.choice((0.75, 1, 1.25, 1.5, 2)):g}"
        ground.put(
            "balancing valve", f"balancing valve {k + 1}", origin, None,
            turns_open=TURNS_ALIKE if has_curve else turns, counted_from="shut",
        )  # fmt: skip
        ground.put("purge end", f"purge end {k + 1}", moved(origin, heading, 0.3048 * length), 0.1)
    if kind != "pressure distribution":
        middle = moved(moved(manifold, heading, 0.15 * length), back, 0.55 * built.laterals)
        ground.put(kind, "", middle, 2.2 if kind == "mound" else 0.6)
    built.wells = 2 if kind != "pressure distribution" else rng.choice((1, 2))
    for k in range(built.wells):
        spot = moved(moved(manifold, heading, (0.08 + 0.16 * k) * length), back, 1.6)
        ground.put("monitoring well", f"monitoring well {k + 1}", spot, 0.3)


def _rise_ft(low: Place, high: Place) -> float:
    """Return how much higher the ground is at one place than at another, at least level."""
    return max(0.0, ground_ft(*valley_of(high)) - ground_ft(*valley_of(low)))


def _pump_papers(built: Built, away_ft: float, rise_ft: float) -> None:
    """Write onto the pump its curve, lift and transport pipe, so that it works where it was set.

    The head is lift, squirt and what pipes and half-open valves take: by rule of thumb, invented.
    """
    (pump,) = (row for row in built.rows if row["kind"] == "pump")
    lift_ft, supply_ft = round(rise_ft + 6.0), round(away_ft) + 12
    taken_ft = 1.2 * supply_ft / 100 * HEAD_PER_100_FT * (built.rate_gpm / 30) ** 1.852
    head_ft = lift_ft + built.squirt_in / 12 + taken_ft + VALVES_FT
    curve = (f"{round(built.rate_gpm * flow)} {head_ft * head:.1f}" for flow, head in CURVE_SHAPE)
    pump |= {
        "curve": ", ".join(curve),
        "lift_ft": str(lift_ft),
        "supply_in": "2",
        "supply_ft": str(supply_ft),
    }
