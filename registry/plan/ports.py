"""The two ports of the plan: an engine that knows the roads, a solver that orders a day."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Protocol

import numpy as np
import numpy.typing as npt

from registry.plan.problem import Appointed, DayProblem, RouteCalls, Solution
from registry.records.day import RoadsUsed
from registry.records.places import LonLat
from registry.records.roads import NamedStretch, RoadConditions, VehicleLimits

if TYPE_CHECKING:
    from shapely import MultiLineString


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Matrix:
    """Travel between places, as a road engine answers it.

    ``travel_s`` and ``travel_m`` have shape (n, n), from row to column, nan where no road leads;
    the diagonal is 0. ``snap_m`` has shape (n,): how far each place lies from the road it was
    put on. ``source`` says in words which network and which engine answered; ``warnings`` are
    sentences for people.
    """

    travel_s: npt.NDArray[np.float64]
    travel_m: npt.NDArray[np.float64]
    snap_m: npt.NDArray[np.float64]
    source: str
    warnings: tuple[str, ...] = ()
    built: datetime | None = None
    credit: str = ""
    closed: tuple[str, ...] = ()

    def roads_used(self) -> RoadsUsed:
        """Return the note about the network that stands on every plan."""
        return RoadsUsed(
            source=self.source,
            built=self.built,
            closed=self.closed,
            credit=self.credit,
            warnings=self.warnings,
        )


class RoadEngine(Protocol):
    """Whatever can say how long it takes from place to place, and along which roads."""

    def under(self, conditions: RoadConditions) -> "RoadEngine":
        """Return the same roads under other conditions, in place of those of this engine.

        Both may be used; closing the first one gives back what either holds.
        """
        ...

    def get_ready(self) -> None:
        """Begin whatever takes time before the first answer, and do not wait for it."""
        ...

    def travel_times(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> Matrix:
        """Return driving seconds and metres between all places, in the order given.

        Parameters
        ----------
        places
            The n places.
        limits
            The weight and height of the truck that drives: roads and bridges whose signs it may
            not pass are left out. None = no sign is looked at.

        Raises
        ------
        RoadError
            If a place lies too far from any road, or the network cannot be used.
        """
        ...

    def line(
        self, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[LonLat, ...]:
        """Return the line along the roads through the places in order; empty if unknown."""
        ...

    def in_the_way(
        self, start: LonLat, places: Sequence[LonLat], *, limits: VehicleLimits | None = None
    ) -> tuple[tuple[str, ...], ...]:
        """Return for each place the closures that, lifted, open a way from a start to it and back.

        Names; empty where no closure stands in the way, or lifting all of them would not help.
        """
        ...


class RoadNames(Protocol):
    """Whatever knows the roads by their names and classes."""

    def classes_m(self, places: Sequence[LonLat]) -> tuple[dict[str, float], ...]:
        """Return for each leg from place to place how many metres it leads over each class of road.

        Unpaved and private roads count for ``gravel`` and ``private`` too. Nothing for a leg that
        no road leads along.
        """
        ...

    def find(self, wanted: NamedStretch) -> "MultiLineString":
        """Return the lines of a road, or of a piece of it, as a shapely multilinestring.

        Raises
        ------
        NotFoundError
            If there is no such road or piece.
        RoadError
            If no network was imported, or it cannot be used.
        """
        ...


class KnownRoads(RoadEngine, RoadNames, Protocol):
    """A road engine that knows its roads by name and class too."""

    def under(self, conditions: RoadConditions) -> "KnownRoads":
        """Return the same roads under other conditions; see ``RoadEngine.under``."""
        ...


@dataclass(frozen=True, slots=True, kw_only=True)
class Progress:
    """How far a search has come: a sentence for people, and the best plan's cost so far, if any."""

    text: str
    seconds: float
    rounds: int
    cost: int | None = None


type ProgressLine = Callable[[Progress], None]
type Stop = Callable[[], bool]
"""Asked many times a second: true once the search is to end with the best plan it has."""


class RouteSolver(Protocol):
    """Whatever can choose and order the visits of a day."""

    def solve(
        self,
        problem: DayProblem,
        *,
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
        progress: ProgressLine | None = None,
        stop: Stop | None = None,
    ) -> Solution:
        """Return routes for a day.

        Parameters
        ----------
        problem
            The day.
        seconds
            Time to search. [s]
        rounds
            Search effort instead of time: then no clock is read, and the same seed gives the same
            plan. What one round is differs from solver to solver.
        seed
            Seed of the chance in the search.
        progress
            Called with each sentence about how the search goes.
        stop
            Asked while the search goes on; once it says true, the best plan so far is returned.

        Returns
        -------
        Solution
            One route per technician; trust it only once ``registry.plan.check`` has passed it.

        Raises
        ------
        PlanError
            If neither or both of ``seconds`` and ``rounds`` are given, or the solver cannot
            express what the day asks for.
        """
        ...


class RouteRepairer(Protocol):
    """Whatever can mend a plan that stands after something changed, in a second or so."""

    def repair(
        self,
        problem: DayProblem,
        start: tuple[RouteCalls, ...],
        *,
        appointed: Sequence[Appointed] = (),
        seconds: float | None = None,
        rounds: int | None = None,
        seed: int = 1,
    ) -> Solution:
        """Return routes for a changed day, made from a plan that need not hold any more.

        Parameters
        ----------
        problem
            The day as it is now.
        start
            The routes that stood, one per technician of the problem.
        appointed
            The windows that the plan gave to linked visits; kept where that is still possible.
        seconds, rounds, seed
            As in ``RouteSolver``.

        Returns
        -------
        Solution
            Never dearer than ``start``, where that holds; trust it only once
            ``registry.plan.check`` has passed it.

        Raises
        ------
        PlanError
            If neither or both of ``seconds`` and ``rounds`` are given.
        """
        ...
