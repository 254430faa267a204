"""Reading a section of figures: what is missing, of the wrong kind or unknown is said at once."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from registry.errors import RangeError
from registry.hydraulics.pipes import PipeSeries, inside_diameter_in

type Section = Mapping[str, object]


@dataclass(slots=True)
class Given:
    """One section of a file of figures; call `check` when all of it has been asked for.

    ``title`` is how a person finds the section: its name in the file, or a part of a form.
    """

    title: str
    figures: Section
    complaints: list[str] = field(default_factory=list)
    asked: set[str] = field(default_factory=set)

    def number(self, name: str, default: float | None = None) -> float:
        """Return a number; without a default it must be there."""
        found = self.maybe_number(name)
        if found is None and default is None and name not in self.figures:
            self.complaints.append(f"{self.title}: {name} is missing. Give a number.")
        return found if found is not None else default if default is not None else 1.0

    def maybe_number(self, name: str) -> float | None:
        """Return a number, None where none is given."""
        self.asked.add(name)
        found = self.figures.get(name)
        if found is None:
            return None
        if not _is_number(found):
            self.complaints.append(f"{self.title}: {name} is “{found}”. Give a number.")
            return None
        return float(str(found))

    def whole(self, name: str) -> int | None:
        """Return a whole number, None where none is given."""
        found = self.maybe_number(name)
        if found is not None and found % 1:
            self.complaints.append(f"{self.title}: {name} is {found:g}. Give a whole number.")
            return None
        return None if found is None else int(found)

    def yes(self, name: str, default: bool) -> bool:
        """Return true or false."""
        self.asked.add(name)
        found = self.figures.get(name, default)
        if not isinstance(found, bool):
            self.complaints.append(f"{self.title}: {name} is “{found}”. Give true or false.")
            return default
        return found

    def text(self, name: str, default: str = "") -> str:
        """Return a word."""
        self.asked.add(name)
        return str(self.figures.get(name, default))

    def numbers(self, name: str) -> list[float]:
        """Return a list of numbers, empty where none is given."""
        self.asked.add(name)
        found = self.figures.get(name, [])
        if not isinstance(found, list) or not all(_is_number(one) for one in found):
            self.complaints.append(f"{self.title}: {name} must be a list of numbers.")
            return []
        return [float(one) for one in found]

    def dates(self, name: str) -> list[date]:
        """Return a list of dates, empty where none is given."""
        self.asked.add(name)
        found = self.figures.get(name, [])
        try:
            return [
                one if isinstance(one, date) else date.fromisoformat(str(one))
                for one in (found if isinstance(found, list) else [found])
            ]
        except ValueError:
            self.complaints.append(f"{self.title}: {name} must be dates. Write 2026-06-15.")
            return []

    def pairs(self, name: str) -> list[tuple[float, float]]:
        """Return a list of pairs of numbers, which must be there."""
        self.asked.add(name)
        found = self.figures.get(name)
        if not isinstance(found, list) or not all(_is_pair(one) for one in found):
            self.complaints.append(
                f"{self.title}: {name} must be pairs of numbers, [[0, 40], [20, 37]]."
            )
            return [(0.0, 1.0), (1.0, 0.0)]
        return [(float(one[0]), float(one[1])) for one in found]

    def pipe_in(self) -> float:
        """Return an inside diameter: ``pipe_in`` itself, or ``pipe`` as a nominal size.

        ``series`` may say "SDR 21"; without it the pipe is Schedule 40.
        """
        nominal, inside = self.maybe_number("pipe"), self.maybe_number("pipe_in")
        thin = "21" in self.text("series")
        if inside is not None:
            return inside
        if nominal is None:
            self.complaints.append(
                f"{self.title}: pipe is missing. Give its nominal size, or pipe_in for the inside."
            )
            return 1.0
        try:
            return inside_diameter_in(
                nominal, PipeSeries.SDR_21 if thin else PipeSeries.SCHEDULE_40
            )
        except RangeError as wrong:
            self.complaints.append(f"{self.title}: {wrong}.")
            return 1.0

    def check(self) -> None:
        """Complain of figures that nobody asked for.

        Raises
        ------
        RangeError
            With everything that is wrong in the section.
        """
        unknown = sorted(set(self.figures) - self.asked)
        if unknown:
            known = ", ".join(sorted(self.asked))
            self.complaints.append(
                f"{self.title}: {', '.join(unknown)} is not known. Known: {known}."
            )
        if self.complaints:
            raise RangeError("\n".join(self.complaints))


def section(figures: Section, name: str) -> Given:
    """Return a section of a file.

    Raises
    ------
    RangeError
        If it is not there, or no section.
    """
    found = figures.get(name)
    if not isinstance(found, Mapping):
        raise RangeError(f"The section [{name}] is missing: see “riserway hydraulics example”.")
    return Given(f"[{name}]", found)


def _is_number(value: object) -> bool:
    is_one = isinstance(value, int | float) and not isinstance(value, bool)
    return is_one and math.isfinite(float(str(value)))


def _is_pair(value: object) -> bool:
    return isinstance(value, list | tuple) and len(value) == 2 and all(map(_is_number, value))
