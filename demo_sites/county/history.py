"""Three years of visits and readings, with the drifts that a service firm learns to see."""

from dataclasses import dataclass, field
from datetime import date, timedelta
from random import Random

from demo_sites.county.calendar import TODAY, months_before
from demo_sites.county.components import PRESSURE, PUMPED, Built
from demo_sites.county.households import Cells
from demo_sites.county.names import FORMER, TECHNICIANS

START = months_before(TODAY, 38)
"""Three years, and two months more, so that what is yearly was done three times."""
YEAR_DAYS = 365.25
INTERVALS = {"gravity": 36, "cesspool": 36, "unknown": 36, "secondary treatment": 6}
"""Months between two visits, by the kind of system; 12 for all others."""
TOWN_LOOKS = ("gravity", "cesspool", "unknown")
"""Kinds at which the town looks every 24 months, the county every 36."""
USE_GPD = 46.0
"""Wastewater of a person on a day of use [gal/d]."""
CLOGGING, WORN, ROLLED, LEAKING, SHUT = (
    "clogging",
    "worn pump",
    "rolled over",
    "leaking",
    "shut valve",
)


@dataclass(slots=True)
class Course:
    """How one system behaves over the years."""

    built: Built
    drift: str
    emptied_on: date
    solids_years: float
    """Years after which scum and sludge reach a quarter of the liquid depth."""
    counter_at_start: int
    hours_at_start: float
    digits: int
    visits: list[date] = field(default_factory=list)

    @property
    def flow_gpd(self) -> float:
        """Mean daily flow over the year [gal/d]."""
        return (
            USE_GPD
            * self.built.home.people
            * float(self.built.home.cells.get("occupied_share", "1"))
        )


def next_due(rng: Random) -> date:
    """Return when a system's next visit shall be due: a few late, many soon, most later."""
    draw = rng.random()
    if draw < 0.075:
        return TODAY - timedelta(days=rng.randint(2, 55))
    if draw < 0.1:
        return TODAY - timedelta(days=rng.randint(56, 210))
    if draw < 0.225:
        return TODAY + timedelta(days=rng.randint(0, 30))
    return TODAY + timedelta(days=rng.randint(31, 330))


def interval_months(built: Built) -> int:
    """Return the months between two visits of a system."""
    if built.kind == "gravity" and built.has_filter:
        return 12
    if built.kind in TOWN_LOOKS and built.home.spot.in_town:
        return 24
    return INTERVALS.get(built.kind, 12)


def course(built: Built, drift: str, late_days: int, rng: Random) -> Course:
    """Return a system's course: its visits, its pump-out, its starting values.

    ``late_days`` above 0: forgotten, so many days overdue today.
    """
    months = interval_months(built)
    visits: list[date] = []
    if built.home.installed_on < months_before(TODAY, 12):
        day = months_before(next_due(rng), months)
        if late_days:
            day = months_before(TODAY - timedelta(days=late_days), months)
        if drift:
            day = months_before(TODAY - timedelta(days=rng.randint(-20, 30)), months)
        while day >= START or not visits:
            day = _workday(min(day, TODAY - timedelta(days=1)))
            visits.append(day)
            day = months_before(day, months) + timedelta(days=rng.randint(-14, 24))
    years = max(1.6, (built.tank_gal - 49 * built.home.people) / (76.9 * built.home.people))
    years = min(years, 11.0) * rng.uniform(0.85, 1.25)
    part = rng.uniform(0.96, 1.06) if rng.random() < 0.05 else rng.uniform(0.06, 0.88)
    emptied = TODAY - timedelta(days=int(part * years * YEAR_DAYS))
    emptied = max(_workday(emptied), built.home.installed_on)
    digits = 5 if drift == ROLLED or rng.random() < 0.5 else 6
    made = Course(built, drift, emptied, years, 0, 0.0, digits, sorted(visits))
    if built.dose_gal:
        since = max(0, (START - built.home.installed_on).days)
        made.counter_at_start = int(since * made.flow_gpd / built.dose_gal)
        if drift == ROLLED:
            in_all = (TODAY - START).days * made.flow_gpd / built.dose_gal
            made.counter_at_start = 100_000 - int(0.6 * in_all)
        rate = built.rate_gpm or 22.0
        made.hours_at_start = round(
            min(9_000.0, made.counter_at_start * built.dose_gal / rate / 60), 1
        )
    return made


def _workday(day: date) -> date:
    return day - timedelta(days=max(0, day.weekday() - 4))


class _Visit:
    """Gathers the rows of one visit."""

    def __init__(self, made: Course, day: date, who: str, outcome: str, note: str) -> None:
        built = made.built
        self.made, self.built, self.day = made, built, day
        self.head: Cells = {"site": built.home.key, "date": day.isoformat(), "technician": who}
        if built.system:
            self.head["system"] = built.system
        self.first: Cells = {"visit_note": note} if note else {}
        if outcome != "in order":
            self.head["outcome"] = outcome
        self.rows: list[Cells] = []

    def done(self, task: str) -> None:
        """Add a task that was done."""
        self.rows.append(self.head | self.first | {"task": task})
        self.first = {}

    def read(
        self, kind: str, value: object, unit: str = "", component: str = "", note: str = ""
    ) -> None:
        """Add a value that was read."""
        cells = {
            "kind": kind,
            "value": str(value),
            "unit": unit,
            "component": component,
            "note": note,
        }
        self.rows.append(self.head | self.first | {k: v for k, v in cells.items() if v})
        self.first = {}

    @property
    def years(self) -> float:
        """Years since the history's start."""
        return (self.day - START).days / YEAR_DAYS


def rows_of(made: Course, rng: Random) -> list[Cells]:
    """Return all rows of one system's history, oldest first."""
    rows: list[Cells] = []
    if made.emptied_on > made.built.home.installed_on and made.built.kind not in {"cesspool"}:
        rows += _pump_out(made, rng)
    for number, day in enumerate(made.visits):
        rows += _visit(made, number, day, rng)
    return sorted(rows, key=lambda row: row["date"])


def _pump_out(made: Course, rng: Random) -> list[Cells]:
    who = FORMER if made.emptied_on.year < 2024 else TECHNICIANS[1][0]
    visit = _Visit(made, made.emptied_on, who, "in order", "pumped out, walls and baffles sound")
    visit.done("pump-out")
    depth = made.built.liquid_in
    visit.read("sludge", _half(depth * rng.uniform(0.17, 0.24)), "in", "septic tank")
    visit.read("scum", _half(depth * rng.uniform(0.05, 0.09)), "in", "septic tank")
    visit.read("pumped volume", 10 * round(made.built.tank_gal * 0.096), "gal", "septic tank")
    return visit.rows


def _half(value: float) -> float:
    return round(2 * value) / 2


def _who(day: date, rng: Random) -> str:
    if day < date(2024, 3, 1) and rng.random() < 0.6:
        return FORMER
    return rng.choice(TECHNICIANS)[0]


def _visit(made: Course, number: int, day: date, rng: Random) -> list[Cells]:
    built, kind = made.built, made.built.kind
    who, notes = _who(day, rng), {CLOGGING: "one lateral falls behind, brush it next time"}
    is_last = number == len(made.visits) - 1
    if not is_last and rng.random() < 0.025:
        visit = _Visit(
            made, day - timedelta(days=6), who, "not reached", "gate locked, nobody home"
        )
        visit.rows.append(visit.head | visit.first)
        rows = visit.rows
    else:
        rows = []
    owed = is_last and (made.drift in {CLOGGING, WORN, LEAKING} or rng.random() < 0.04)
    note = notes.get(made.drift, "part ordered") if owed else ""
    visit = _Visit(made, day, who, "follow-up owed" if owed else "in order", note)
    yearly = kind != "secondary treatment" or (len(made.visits) - 1 - number) % 2 == 0
    if kind == "secondary treatment":
        _treatment(visit, rng)
    if kind == "gravity" and built.has_filter:
        yearly = (len(made.visits) - 1 - number) % (2 if built.home.spot.in_town else 3) == 0
        _filter(visit, rng)
    elif built.has_filter and yearly:
        _filter(visit, rng)
    if yearly:
        _inspection(visit, rng)
    if kind in PUMPED and yearly:
        _pump_test(visit, rng)
    if kind in PRESSURE:
        _purge(visit, number, rng)
        if kind != "pressure distribution":
            visit.done("bed check")
    return rows + visit.rows


def _inspection(visit: _Visit, rng: Random) -> None:
    made = visit.made
    visit.done("inspection")
    if visit.built.kind in {"cesspool", "unknown"}:
        return
    depth = visit.built.liquid_in
    days = (visit.day - made.emptied_on).days
    if days <= 0:  # before the last pump-out: the solids of the round before
        days = int(days + made.solids_years * YEAR_DAYS)
    share = 0.25 * max(0.02, days / YEAR_DAYS / made.solids_years) * rng.uniform(0.96, 1.04)
    visit.read("liquid depth", f"{depth:g}", "in", "septic tank")
    visit.read("sludge", _half(0.72 * share * depth), "in", "septic tank")
    visit.read("scum", _half(0.28 * share * depth), "in", "septic tank")
    wet = 2.5 if visit.day.month in {12, 1, 2, 3, 4} else 0.0
    label = "monitoring well {}" if visit.built.kind in PRESSURE else "observation pipe"
    for k in range(visit.built.wells):
        ponding = max(0.0, _half(rng.gauss(wet, 0.7)))
        visit.read("ponding", f"{ponding:g}", "in", label.format(k + 1))


def _filter(visit: _Visit, rng: Random) -> None:
    visit.done("filter")
    heavy = visit.built.home.people > 4
    visit.read(
        "filter blocked",
        5 * rng.randint(4 if heavy else 1, 14 if heavy else 9),
        "%",
        "effluent filter",
    )


def _pump_test(visit: _Visit, rng: Random) -> None:
    made, built = visit.made, visit.built
    visit.done("pump test")
    flow = made.flow_gpd * rng.uniform(0.94, 1.06)
    if made.drift == LEAKING:
        flow *= 1 + 0.5 * max(0.0, visit.years - 1)
    rate = (built.rate_gpm or 22.0) * rng.uniform(0.985, 1.015)
    if made.drift == WORN:
        rate *= 1 - 0.095 * max(0.0, visit.years - 0.2) ** 1.25
    else:
        rate *= 1 - 0.012 * visit.years
    cycles = (visit.day - START).days * flow / built.dose_gal
    counter = (made.counter_at_start + int(cycles)) % 10**made.digits
    hours = made.hours_at_start + cycles * built.dose_gal / rate / 60
    minutes = 2.0
    inches = round(8 * rate * minutes / built.pump_gal_per_in) / 8
    visit.read("counter", counter, "", "control panel")
    visit.read("hour meter", f"{hours:.1f}", "h", "control panel")
    visit.read("static level", f"{rng.uniform(15, 24):.1f}", "in", "pump tank")
    visit.read("drawdown", f"{inches:g}", "in", "pump tank")
    visit.read("drawdown time", f"{minutes:g}", "min", "pump tank")
    visit.read("pump rate", f"{inches * built.pump_gal_per_in / minutes:.1f}", "gpm", "pump")
    alarm = "light and horn in order" if rng.random() < 0.95 else "horn silent, light in order"
    visit.read("alarm test", alarm, "", "control panel")


def _purge(visit: _Visit, number: int, rng: Random) -> None:
    made, built = visit.made, visit.built
    visit.done("purge")
    for k in range(built.laterals):
        height = (
            built.squirt_in
            * (1 - 0.008 * k)
            * (1 - 0.014 * visit.years)
            * rng.uniform(0.985, 1.015)
        )
        if made.drift == CLOGGING and k == built.laterals // 2:
            height *= 1 - 0.125 * max(0.0, visit.years - 0.3) ** 1.2
        if made.drift == WORN:
            height *= 1 - 0.07 * max(0.0, visit.years - 0.2)
        note = ""
        if made.drift == SHUT and k == 0 and number == len(made.visits) - 2:
            height, note = 0.0, "valve 1 found shut; opened to its recorded turns"
        visit.read("squirt height", round(height), "in", f"purge end {k + 1}", note)


def _treatment(visit: _Visit, rng: Random) -> None:
    visit.done("treatment check")
    visit.read("dissolved oxygen", f"{rng.uniform(2.1, 5.2):.1f}", "mg/L", "aeration chamber")
    visit.read("disinfection residual", f"{rng.uniform(0.2, 1.4):.1f}", "mg/L", "aeration chamber")
    visit.read("air pressure", f"{rng.uniform(1.8, 2.9):.1f}", "psi", "aeration chamber")
    visit.read("alarm test", "light and horn in order", "", "aeration chamber")
