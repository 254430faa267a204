"""The last readings of a site, so that a technician sees a drift while still at the gate."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from registry.records.visits import Reading

RUNNING = frozenset({"counter", "hour meter"})
"""Readings that only add up: their share of change says nothing."""


@dataclass(frozen=True, slots=True)
class LastReading:
    """The newest valid reading of one kind at one part, and the one before it."""

    last: Reading
    before: Reading | None = None

    @property
    def change_share(self) -> float | None:
        """The last value's change against the one before it, as a share; None where it has none."""
        if self.last.kind in RUNNING:
            return None
        if self.before is None or not self.before.value or self.last.value is None:
            return None
        return (self.last.value - self.before.value) / abs(self.before.value)


def last_readings(readings: Iterable[Reading]) -> dict[str, tuple[LastReading, ...]]:
    """Return by kind the last reading of every part, parts in order of their ids.

    Superseded readings are left out, and so are those with neither a value nor words. A correction
    counts on the day of the visit that it corrects.
    """
    kept = list(readings)
    corrected = {one.supersedes for one in kept if one.supersedes}
    at_part: dict[tuple[str, int, int], list[Reading]] = defaultdict(list)
    for one in kept:
        if one.id not in corrected and (one.value is not None or one.text):
            at_part[one.kind, one.system_id or 0, one.component_id or 0].append(one)
    found: dict[str, list[LastReading]] = defaultdict(list)
    for (kind, _, _), series in sorted(at_part.items()):
        newest = sorted(series, key=lambda one: (one.read_on, one.id), reverse=True)
        found[kind].append(LastReading(newest[0], newest[1] if len(newest) > 1 else None))
    return {kind: tuple(parts) for kind, parts in found.items()}
