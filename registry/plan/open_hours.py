"""When which closed roads are open: the hours of closures as spans that a drive may lie in."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from registry.plan.problem import DAY_S, Window

MOST_SETS = 8
"""Sets of closed roads that a day tells apart, since each needs travel times of its own."""

type Closed = frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenHours:
    """A span in which no road is closed but some of ``closed``; all of these are driven around.

    ``opens`` are roads that open where it begins, ``closes`` those that close where it ends.
    """

    from_s: int
    to_s: int
    closed: Closed
    opens: Closed
    closes: Closed


def open_hours(closures: Sequence[Sequence[Window]], most: int = MOST_SETS) -> list[OpenHours]:
    """Return the spans of a day in which fewer roads are closed than at its worst.

    Each is as long as can be, so spans overlap. A drive across the end of one must keep off all
    that is closed before or after it.

    Parameters
    ----------
    closures
        For each closure the spans of the day in which it holds. [s after midnight]
    most
        How many sets of closed roads may be told apart; beyond that the shortest stretches of the
        day are joined, and count as having closed what is closed in any part of them.
    """
    edges = sorted({0, DAY_S, *(one for spans in closures for span in spans for one in span)})
    stretches = [
        (
            begins,
            ends,
            frozenset(i for i, spans in enumerate(closures) if _meets(spans, begins, ends)),
        )
        for begins, ends in pairwise(edges)
        if 0 <= begins < ends <= DAY_S
    ]
    stretches = _joined(stretches, len(closures), most)
    found = []
    for closed in dict.fromkeys(closed for *_, closed in stretches):
        if len(closed) == len(closures):
            continue
        inside = [one <= closed for *_, one in stretches]
        for at, (from_s, _, _) in enumerate(stretches):
            if not inside[at] or (at and inside[at - 1]):
                continue
            after = next((i for i in range(at, len(stretches)) if not inside[i]), len(stretches))
            found.append(
                OpenHours(
                    from_s=from_s,
                    to_s=stretches[after - 1][1],
                    closed=closed,
                    opens=stretches[at - 1][2] - closed if at else frozenset(),
                    closes=stretches[after][2] - closed if after < len(stretches) else frozenset(),
                )
            )
    return found


def _meets(spans: Sequence[Window], begins: int, ends: int) -> bool:
    return any(a < ends and begins < b for a, b in spans)


def _joined(
    stretches: list[tuple[int, int, Closed]], count: int, most: int
) -> list[tuple[int, int, Closed]]:
    """Return stretches, the shortest joined to a neighbour until few sets are told apart."""
    while len({closed for *_, closed in stretches if len(closed) < count}) > most:
        at = min(range(len(stretches) - 1), key=lambda i: stretches[i + 1][1] - stretches[i][0])
        one, other = stretches[at : at + 2]
        stretches = [*stretches[:at], (one[0], other[1], one[2] | other[2]), *stretches[at + 2 :]]
    return stretches
