"""Where to put words so that they don't lie on each other: each takes the best free place."""

import math
from collections.abc import Iterable, Sequence
from typing import NamedTuple


class Rect(NamedTuple):
    """An upright rectangle."""

    x: float
    y: float
    width: float
    height: float

    def overlap(self, other: "Rect") -> float:
        """Return the area that two rectangles share."""
        if (
            other.x >= self.x + self.width
            or self.x >= other.x + other.width
            or other.y >= self.y + self.height
            or self.y >= other.y + other.height
        ):
            return 0.0
        across = min(self.x + self.width, other.x + other.width) - max(self.x, other.x)
        down = min(self.y + self.height, other.y + other.height) - max(self.y, other.y)
        return across * down

    def inside(self, other: "Rect") -> bool:
        """Tell whether this rectangle lies wholly in another."""
        return (
            other.x <= self.x
            and other.y <= self.y
            and self.x + self.width <= other.x + other.width
            and self.y + self.height <= other.y + other.height
        )


class Segment(NamedTuple):
    """A straight stroke that words should rather not cover."""

    x1: float
    y1: float
    x2: float
    y2: float

    def length_in(self, rect: Rect) -> float:
        """Return how much of the stroke lies in a rectangle (Liang and Barsky's clipping)."""
        x1, y1, x2, y2 = self
        left, top, width, height = rect
        if (
            (x1 < left and x2 < left)
            or (y1 < top and y2 < top)
            or (x1 > left + width and x2 > left + width)
            or (y1 > top + height and y2 > top + height)
        ):
            return 0.0
        dx, dy = self.x2 - self.x1, self.y2 - self.y1
        enters, leaves = 0.0, 1.0
        for step, room in (
            (-dx, self.x1 - rect.x),
            (dx, rect.x + rect.width - self.x1),
            (-dy, self.y1 - rect.y),
            (dy, rect.y + rect.height - self.y1),
        ):
            if step == 0:
                if room < 0:
                    return 0.0
            elif step < 0:
                enters = max(enters, room / step)
            else:
                leaves = min(leaves, room / step)
        return max(leaves - enters, 0.0) * math.hypot(dx, dy)


class Labels:
    """The places taken so far; words never lie on words, and on strokes only where they must."""

    def __init__(self, frame: Rect, strokes: Sequence[Segment] = ()) -> None:
        self.frame = frame
        self.strokes = strokes
        self.taken: list[Rect] = []

    def take(self, rect: Rect) -> None:
        """Mark a rectangle as taken."""
        self.taken.append(rect)

    def place(self, candidates: Iterable[Rect]) -> Rect | None:
        """Take and return the best candidate, earlier ones first; None where none is free."""
        best: Rect | None = None
        least = float("inf")
        for rank, rect in enumerate(candidates):
            if rank * 2.0 >= least:
                break
            if not rect.inside(self.frame) or any(rect.overlap(other) for other in self.taken):
                continue
            cost = rank * 2.0 + sum(stroke.length_in(rect) for stroke in self.strokes)
            if cost < least:
                best, least = rect, cost
        if best is not None:
            self.take(best)
        return best
