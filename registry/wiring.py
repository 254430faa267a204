"""The one place that picks real parts: store, road engine, solver, clock."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime, time
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from registry.config import Settings, settings

if TYPE_CHECKING:
    from registry.plan.bound import BoundFinder
    from registry.plan.ports import KnownRoads, RouteRepairer, RouteSolver
    from registry.season.asked import Ways
    from registry.season.ports import SeasonSolver
    from registry.store import Store


MORNING = time(7)
"""The hour of the invented county's fixed date, so that its forecast looks the same all day."""


@dataclass(frozen=True, slots=True)
class Parts:
    """What a command or a page needs to call a service."""

    settings: Settings
    store: "Store"
    fixed_today: date | None = None
    """The invented county lives on a fixed date; everywhere else the clock counts."""

    @property
    def folder(self) -> Path:
        """Where road networks and base maps are kept."""
        return self.settings.folder

    @staticmethod
    def now() -> datetime:
        """Return this moment in UTC."""
        return datetime.now(UTC)

    def today(self, time_zone: str = "UTC") -> date:
        """Return the date that it is now in a zone."""
        return self.fixed_today or self.now().astimezone(ZoneInfo(time_zone)).date()

    def forecast_from(self, time_zone: str = "UTC") -> datetime:
        """Return from when on a forecast counts: now; where the date is fixed, its morning."""
        if self.fixed_today is None:
            return self.now()
        return datetime.combine(self.fixed_today, MORNING, ZoneInfo(time_zone))

    @contextmanager
    def roads(self) -> Iterator["KnownRoads"]:
        """Yield the road engine of the newest network, closed at the end."""
        from registry.roads.choose import road_engine

        engine = road_engine(self.folder / "roads")
        try:
            yield engine
        finally:
            engine.close()

    @staticmethod
    def solver() -> "RouteSolver":
        """Return the engine that orders a day."""
        from registry.solvers.by_hour import HoursSolver
        from registry.solvers.combined import CombinedSolver
        from registry.solvers.linked import LinkedSolver

        return HoursSolver(LinkedSolver(CombinedSolver()))

    @staticmethod
    def seasons() -> "SeasonSolver":
        """Return what chooses the weeks of a year's visits."""
        from registry.solvers.season.solver import SeasonAnnealing

        return SeasonAnnealing()

    @staticmethod
    def bounds() -> "BoundFinder":
        """Return what proves how far a plan is from the best possible."""
        from registry.solvers.bound.lower import LowerBound
        from registry.solvers.bound_by_hour import HoursBound
        from registry.solvers.budget import wall_clock

        return HoursBound(LowerBound(wall_clock))

    @staticmethod
    def repairer() -> "RouteRepairer":
        """Return what mends a plan after something changed."""
        from registry.solvers.by_hour import HoursRepairer
        from registry.solvers.repair import Repairer

        return HoursRepairer(Repairer())


def assemble(
    store_url: str | None = None,
    *,
    check: bool = True,
    fixed_today: date | None = None,
    folder: Path | None = None,
) -> Parts:
    """Open the store and return the parts; ``check`` refuses a store at another revision.

    ``folder`` is where roads and base maps are kept, if not where the settings say.
    """
    from registry.store import open_store
    from registry.store.revisions import require_newest

    chosen = settings(store_url, folder)
    store = open_store(chosen.store_url)
    if check:
        require_newest(store)
    return Parts(chosen, store, fixed_today)


def roads_as_flown() -> "KnownRoads":
    """Return the engine that knows no roads, for places that are nowhere."""
    from registry.roads.straight_line import StraightLine

    return StraightLine()


def flown_ways() -> "Ways":
    """Return how long ways take over straight lines with a detour, for a season."""
    from registry.roads.graph import KM_H_PER_M_S
    from registry.roads.straight_line import DETOUR_FACTOR, SPEED_KM_H
    from registry.season.asked import Ways

    return Ways(flown_s_per_m=DETOUR_FACTOR * KM_H_PER_M_S / SPEED_KM_H)
