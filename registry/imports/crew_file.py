"""The crew file: firm, jurisdictions, trucks, technicians, fill points and disposal sites."""

import tomllib
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import date, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from registry.errors import Complaint, FileError, RowError
from registry.imports.cells import Fault
from registry.imports.words import WEEKDAYS, minutes, weekdays
from registry.records.crew import DisposalSite, FillPoint, Licence, Technician, Truck
from registry.records.places import ALONE_MARGIN_MIN, Box, Firm, Jurisdiction, LonLat
from registry.units import MIN_PER_H

PARTS = ("firm", "jurisdiction", "truck", "technician", "fill_point", "disposal_site")


@dataclass(slots=True)
class Crew:
    """What a crew file holds."""

    firm: Firm
    jurisdictions: list[Jurisdiction] = field(default_factory=list)
    trucks: list[Truck] = field(default_factory=list)
    technicians: list[Technician] = field(default_factory=list)
    fill_points: list[FillPoint] = field(default_factory=list)
    disposal_sites: list[DisposalSite] = field(default_factory=list)


def read_crew(path: Path) -> Crew:
    """Read a crew file.

    Raises
    ------
    FileError
        If it cannot be read or is no TOML.
    RowError
        If entries are wrong; all that is wrong is told at once.
    """
    try:
        given = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as wrong:
        raise FileError(f"There is no file {path}.") from wrong
    except OSError as wrong:
        raise FileError(f"{path.name} cannot be opened: {wrong.strerror}.") from wrong
    except UnicodeDecodeError as wrong:
        raise FileError(f"{path.name} is not in UTF-8. Save it so.") from wrong
    except tomllib.TOMLDecodeError as wrong:
        raise FileError(f"{path.name} is no TOML: {wrong}.") from wrong
    reader = _Reader(path.name)
    for title in given:
        if title not in PARTS:
            reader.complain(0, title, "this part is not known", f"Known: {', '.join(PARTS)}")
    crew = Crew(
        firm=reader.one(given.get("firm"), _firm),
        jurisdictions=reader.each(given, "jurisdiction", _jurisdiction),
        trucks=reader.each(given, "truck", _truck),
        technicians=reader.each(given, "technician", _technician),
        fill_points=reader.each(given, "fill_point", _fill_point),
        disposal_sites=reader.each(given, "disposal_site", _disposal_site),
    )
    trucks = {one.name for one in crew.trucks}
    for i, one in enumerate(crew.technicians, start=1):
        if one.truck is not None and one.truck.name not in trucks:
            reader.complain(
                i,
                "technician.truck",
                f"there is no truck {one.truck.name} in the file",
                f"Known: {', '.join(sorted(trucks)) or 'none'}",
            )
    if reader.complaints:
        raise RowError(reader.complaints)
    return crew


class _Reader:
    """Reads the tables of a crew file and gathers what is wrong with them."""

    def __init__(self, file_name: str) -> None:
        self._file_name = file_name
        self.complaints: list[Complaint] = []

    def complain(self, row: int, name: str, wrong: str, remedy: str) -> None:
        """Note one thing that is wrong; ``row`` counts the tables of one title."""
        self.complaints.append(Complaint(self._file_name, row, name, wrong, remedy))

    def one(self, given: object, read: "Callable[[_Table], Firm]") -> Firm:
        """Return the firm."""
        if not isinstance(given, dict):
            self.complain(1, "firm", "the file names no firm", "Write [firm] with its name")
            return Firm(name="")
        return read(_Table(self, "firm", 1, given))

    def each[R](self, given: dict[str, Any], title: str, read: "Callable[[_Table], R]") -> list[R]:
        """Return the records of all tables of a title."""
        tables = given.get(title, [])
        if not isinstance(tables, list) or not all(isinstance(one, dict) for one in tables):
            self.complain(1, title, "this is no list of tables", f"Write [[{title}]]")
            return []
        made = []
        for row, one in enumerate(tables, start=1):
            table = _Table(self, title, row, one)
            made.append(read(table))
            table.done()
        names = [one.get("name") for one in tables]
        for row, name in enumerate(names, start=1):
            if name is not None and names.index(name) < row - 1:
                self.complain(row, f"{title}.name", f"{name} stands twice", "Give each its name")
        return made


@dataclass
class _Table:
    """One table of the file; each value is asked for by name and kind."""

    reader: _Reader
    title: str
    row: int
    given: dict[str, Any]
    _asked: set[str] = field(default_factory=set)

    def text(self, name: str, *, needed: bool = False, default: str = "") -> str:
        value = self._value(name, (str,), "a text")
        if needed and not value:
            self.complain(name, "it is missing", "Give it")
        return str(value or default).strip()

    def number(
        self, name: str, low: float = 0.0, high: float = 1e7, default: float | None = None
    ) -> float | None:
        value = self._value(name, (int, float), "a number")
        if isinstance(value, bool) or (value is not None and not low <= value <= high):
            self.complain(name, f"{value} is outside {low:g} to {high:g}", "Correct the number")
            return default
        return default if value is None else float(value)

    def whole(self, name: str, default: int | None = None) -> int | None:
        value = self.number(name)
        return default if value is None else int(value)

    def yes(self, name: str, *, default: bool) -> bool:
        value = self._value(name, (bool,), "true or false")
        return default if value is None else bool(value)

    def place(self, name: str, *, needed: bool = False) -> LonLat | None:
        value = self._value(name, (list,), "[longitude, latitude]")
        if value is None:
            if needed:
                self.complain(name, "it is missing", "Give [longitude, latitude]")
            return None
        numbers = _numbers(value, 2)
        if numbers is None or not (abs(numbers[0]) <= 180 and abs(numbers[1]) <= 90):
            self.complain(name, f"{value} is no place", "Give [longitude, latitude] in degrees")
            return None
        return LonLat(*numbers)

    def box(self, name: str) -> Box | None:
        value = self._value(name, (list,), "[west, south, east, north]")
        if value is None:
            return None
        numbers = _numbers(value, 4)
        if numbers is None or not (numbers[0] < numbers[2] and numbers[1] < numbers[3]):
            self.complain(name, f"{value} is no box", "Give [west, south, east, north] in degrees")
            return None
        return Box(*numbers)

    def day(self, name: str) -> date | None:
        value = self._value(name, (date,), "a date such as 2026-06-15")
        return value.date() if isinstance(value, datetime) else value

    def days(self, name: str) -> tuple[date, ...]:
        value = self._value(name, (list,), "a list of dates") or []
        if not all(isinstance(one, date) for one in value):
            self.complain(name, "not all are dates", "Write them as 2026-06-15")
            return ()
        return tuple(sorted(set(value)))

    def texts(self, name: str) -> tuple[str, ...]:
        value = self._value(name, (list,), "a list of texts") or []
        return tuple(str(one).strip() for one in value)

    def clock(self, name: str) -> int | None:
        return self._clock(name, self._value(name, (str,), "a time such as 08:00"))

    def span(self, name: str, default: tuple[int, int]) -> tuple[int, int] | None:
        value = self._value(name, (list,), 'two times such as ["08:00", "17:00"]')
        if value is None:
            return default
        if value == []:
            return None
        times = [self._clock(name, one) for one in value]
        if len(times) != 2 or None in times or times[0] >= times[1]:  # type: ignore[operator]  # none is None
            self.complain(name, f"{value} is no span of time", 'Give ["08:00", "17:00"]')
            return default
        return times[0], times[1]  # type: ignore[return-value]  # none is None

    def weekdays(self, name: str, default: tuple[int, ...]) -> tuple[int, ...]:
        value = self._value(name, (list,), f"a list of {', '.join(WEEKDAYS)}")
        if value is None:
            return default
        found = weekdays(", ".join(str(one) for one in value)) if value else ()
        if isinstance(found, Fault) or found is None:
            self.complain(name, f"{value} are no weekdays", f"Write {', '.join(WEEKDAYS)}")
            return default
        return found

    def tables(self, name: str) -> "list[_Table]":
        value = self._value(name, (list,), "a list of tables") or []
        return [
            _Table(self.reader, f"{self.title}.{name}", self.row, one)
            for one in value
            if isinstance(one, dict)
        ]

    def done(self) -> None:
        """Complain of names that nobody asked for: most are misspelt."""
        for name in self.given:
            if name not in self._asked:
                known = ", ".join(sorted(self._asked))
                self.complain(name, "this is not known here", f"Known: {known}")

    def complain(self, name: str, wrong: str, remedy: str) -> None:
        self.reader.complain(self.row, f"{self.title}.{name}", wrong, remedy)

    def _clock(self, name: str, value: object) -> int | None:
        found = minutes(value) if isinstance(value, str) else None
        if isinstance(found, Fault):
            self.complain(name, found.wrong, found.remedy)
            return None
        return found

    def _value(self, name: str, kinds: tuple[type, ...], said: str) -> Any:  # noqa: ANN401
        self._asked.add(name)
        value = self.given.get(name)
        if value is not None and not isinstance(value, kinds):
            self.complain(name, f"{value!r} is not {said}", f"Give {said}")
            return None
        return value


def _numbers(value: list[Any], count: int) -> list[float] | None:
    plain = all(isinstance(one, int | float) and not isinstance(one, bool) for one in value)
    return [float(one) for one in value] if plain and len(value) == count else None


def _firm(table: _Table) -> Firm:
    firm = Firm(
        name=table.text("name", needed=True),
        yard=table.place("yard"),
        phone=table.text("phone"),
        keep_free_min=table.whole("keep_free_min", 0) or 0,
        keep_free_by_min=table.clock("keep_free_by") or 12 * MIN_PER_H,
        even_work_percent=table.whole("even_work_percent", 0) or 0,
        daylight_only=table.yes("daylight_only", default=True),
        alone_margin_min=table.whole("alone_margin_min", ALONE_MARGIN_MIN) or 0,
    )
    table.done()
    return firm


def _jurisdiction(table: _Table) -> Jurisdiction:
    zone = table.text("time_zone", default="UTC")
    try:
        ZoneInfo(zone)
    except (ZoneInfoNotFoundError, ValueError):
        table.complain("time_zone", f"{zone} is no time zone", "Write one such as America/Chicago")
        zone = "UTC"
    return Jurisdiction(
        name=table.text("name", needed=True),
        time_zone=zone,
        rule_set=table.text("rule_set"),
        box=table.box("box"),
        ngvd29_to_navd88_ft=table.number("ngvd29_to_navd88_ft", -20.0, 20.0),
        pump_out_trigger=table.text("pump_out_trigger", default="MN"),
        report_days=table.whole("report_days"),
        hospital=table.text("hospital"),
    )


def _truck(table: _Table) -> Truck:
    return Truck(
        name=table.text("name", needed=True),
        water_gal=table.number("water_gal"),
        septage_gal=table.number("septage_gal"),
        hose_ft=table.number("hose_ft"),
        weight_lb=table.number("weight_lb"),
        height_ft=table.number("height_ft"),
    )


def _technician(table: _Table) -> Technician:
    shift = table.span("shift", (8 * 60, 17 * 60)) or (8 * 60, 17 * 60)
    lunch = table.span("lunch", (11 * 60, 13 * 60 + 30))
    truck = table.text("truck")
    name = table.text("name", needed=True)
    licences = []
    for one in table.tables("licence"):
        licences.append(
            Licence(
                kind=one.text("kind", needed=True),
                number=one.text("number"),
                valid_from=one.day("valid_from"),
                valid_to=one.day("valid_to"),
                jurisdiction=one.text("jurisdiction"),
            )
        )
        one.done()
    return Technician(
        name=name,
        initials=table.text("initials") or "".join(part[0] for part in name.split()),
        home=table.place("home"),
        shift_from_min=shift[0],
        shift_to_min=shift[1],
        lunch_from_min=lunch[0] if lunch else None,
        lunch_to_min=lunch[1] if lunch else None,
        lunch_min=table.whole("lunch_min", 30) or 0,
        overtime_min=table.whole("overtime_min", 0) or 0,
        overtime_percent=int(table.number("overtime_percent", 0.0, 1000.0, 200.0) or 0),
        driving_percent=table.whole("driving_percent"),
        workdays=table.weekdays("workdays", (0, 1, 2, 3, 4)),
        skills=table.texts("skills"),
        licences=tuple(licences),
        days_off=table.days("days_off"),
        truck=Truck(name=truck) if truck else None,
        active=table.yes("active", default=True),
        phone=table.text("phone"),
    )


def _fill_point(table: _Table) -> FillPoint:
    return FillPoint(
        name=table.text("name", needed=True),
        lon_lat=table.place("at", needed=True) or LonLat(0.0, 0.0),
        minutes=table.number("minutes", 0.0, 600.0, 12.0) or 12.0,
        opens_min=table.clock("opens"),
        closes_min=table.clock("closes"),
    )


def _disposal_site(table: _Table) -> DisposalSite:
    return DisposalSite(
        name=table.text("name", needed=True),
        lon_lat=table.place("at", needed=True) or LonLat(0.0, 0.0),
        opens_min=table.clock("opens"),
        closes_min=table.clock("closes"),
        weekdays=table.weekdays("weekdays", (0, 1, 2, 3, 4)),
        note=table.text("note"),
    )
