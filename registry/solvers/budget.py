"""How much a search may do: seconds on a clock, or rounds, which are the same on every machine."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from itertools import count
from typing import TypedDict

from registry.errors import PlanError
from registry.plan.ports import Progress, ProgressLine, Stop

type Clock = Callable[[], float]
type Say = Callable[[str, int | None], None]

MOST_PACE = 5.0
"""A machine busier than this is not believed to stay so."""


def wall_clock() -> float:
    """Return seconds that pass, whatever the machine does."""
    return time.perf_counter()


def processor_clock() -> float:
    """Return seconds of processor time of this process, for fair comparisons on a busy machine."""
    return time.process_time()


class Part(TypedDict):
    """Effort as the arguments of a solver; exactly one of the two is set."""

    seconds: float | None
    rounds: int | None


@dataclass(slots=True)
class Budget:
    """What is left of a search's effort; exactly one of ``seconds`` and ``rounds`` is set.

    With rounds no decision rests on the clock, so that the same seed gives the same plan. Once
    ``stop`` says true nothing is left.
    """

    seconds: float | None
    rounds: int | None
    clock: Clock = wall_clock
    stop: Stop | None = None
    started: float = field(init=False)
    on_the_wall: float = field(init=False)
    done: int = field(init=False, default=0)

    def __post_init__(self) -> None:
        if (self.seconds is None) == (self.rounds is None):
            raise PlanError("Give either the seconds or the rounds of a search, one of the two.")
        if (self.seconds or self.rounds or 0) <= 0:
            raise PlanError("The seconds or rounds of a search must be above zero.")
        self.begin()

    def begin(self) -> None:
        """Start the clock anew: what came before, such as making machine code, does not count."""
        self.started = self.clock()
        self.on_the_wall = wall_clock()

    @property
    def elapsed(self) -> float:
        """Seconds since the start; for reports, never for a decision where rounds are given."""
        return self.clock() - self.started

    def on_wall(self, seconds: float) -> float:
        """Return how long seconds of this clock last on the wall; for tools that know no other.

        On a busy machine a second of the processor lasts longer, by what it did so far.
        """
        passed = self.elapsed
        pace = (wall_clock() - self.on_the_wall) / passed if passed > 0 else 1.0
        return seconds * min(max(pace, 1.0), MOST_PACE)

    def part(self, share: float) -> "Part":
        """Return a share of the whole effort, as a solver is asked for it."""
        return Part(
            seconds=None if self.seconds is None else share * self.seconds,
            rounds=None if self.rounds is None else max(1, round(share * self.rounds)),
        )

    @property
    def stopped(self) -> bool:
        """Whether somebody asked the search to end."""
        return self.stop is not None and self.stop()

    @property
    def share(self) -> float:
        """How much of the effort is used up, 0 to 1."""
        if self.stopped:
            return 1.0
        if self.rounds is not None:
            return min(1.0, self.done / self.rounds)
        return min(1.0, self.elapsed / (self.seconds or 1.0))

    def is_over(self, turns: int | None = None) -> Callable[[], bool]:
        """Return what says that the effort is used up: the time or, where rounds count, turns.

        Without ``turns`` only a stop ends an effort in rounds; no clock is read for it.
        """
        to_come = count(1) if turns is None else iter(range(turns))

        def over() -> bool:
            if self.rounds is None:
                return self.left() <= 0
            return next(to_come, None) is None or self.stopped

        return over

    def teller(self, progress: ProgressLine | None) -> Say:
        """Return what passes a sentence on, with the cost of a plan and the effort so far."""

        def say(text: str, cost: int | None) -> None:
            if progress is not None:
                progress(Progress(text=text, seconds=self.elapsed, rounds=self.done, cost=cost))

        return say

    def left(self) -> float:
        """Return what is left, in seconds or in rounds."""
        if self.stopped:
            return 0.0
        if self.rounds is not None:
            return max(0, self.rounds - self.done)
        return max(0.0, (self.seconds or 0.0) - self.elapsed)
