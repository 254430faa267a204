"""How far a plan is from the best possible: what is proven, and the port of what proves it."""

from dataclasses import dataclass
from typing import Protocol

from registry.plan.ports import ProgressLine
from registry.plan.problem import DayProblem, RouteCalls, Solution


@dataclass(frozen=True, slots=True, kw_only=True)
class Bound:
    """What is proven about a plan: no plan of the day costs less than ``value``.

    ``value`` is None if no useful bound was found, ``cost`` what the best plan known costs, both in
    the unit of the plan's cost; ``proven`` that no plan is cheaper. ``routes`` are
    those of a cheaper plan, if one was met on the way. ``text`` says it for people, and ``rough``
    why a closer bound was not looked for, empty where it was.
    """

    value: int | None
    cost: int
    proven: bool
    text: str
    routes: tuple[RouteCalls, ...] | None = None
    rough: str = ""

    @property
    def gap(self) -> float | None:
        """How far the cost may lie above the best possible, as a share of the bound."""
        if not self.value:
            return 0.0 if self.proven else None
        return (self.cost - self.value) / self.value


class BoundFinder(Protocol):
    """Whatever can say how far a plan is from the best possible."""

    def bound(
        self,
        problem: DayProblem,
        solution: Solution,
        *,
        seconds: float,
        progress: ProgressLine | None = None,
    ) -> Bound:
        """Return a bound of what any plan of a day costs.

        Parameters
        ----------
        problem
            The day.
        solution
            A plan of it that holds.
        seconds
            Time to look. [s]
        progress
            Called with each sentence about how it goes.
        """
        ...
