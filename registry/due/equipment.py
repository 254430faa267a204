"""What there is to service at a system: how many of each component, how many lids to dig up."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from registry.hydraulics.on_file import FieldOnFile
from registry.records.systems import Component, ComponentKind, SystemKind

TANKS = (ComponentKind.SEPTIC_TANK, ComponentKind.PUMP_TANK, ComponentKind.TREATMENT_UNIT)
"""What has a lid of its own where no lids are on file."""

_TANK = {ComponentKind.SEPTIC_TANK: 1}
_PUMPED = {**_TANK, ComponentKind.PUMP_TANK: 1}
ASSUMED: Mapping[str, Mapping[ComponentKind, int]] = {
    SystemKind.GRAVITY: _TANK,
    SystemKind.PUMP_TO_GRAVITY: _PUMPED,
    SystemKind.PRESSURE: {**_PUMPED, ComponentKind.LATERALS: 3},
    SystemKind.MOUND: {**_PUMPED, ComponentKind.LATERALS: 4},
    SystemKind.AT_GRADE: {**_PUMPED, ComponentKind.LATERALS: 2},
    SystemKind.SAND_FILTER: {**_PUMPED, ComponentKind.LATERALS: 6},
    SystemKind.SECONDARY: {**_TANK, ComponentKind.TREATMENT_UNIT: 1},
    SystemKind.HOLDING_TANK: _TANK,
    SystemKind.CESSPOOL: {},
    SystemKind.UNKNOWN: _TANK,
}
"""What a system of a kind is taken to have where no component is on file; our estimate."""


@dataclass(slots=True)
class Equipment:
    """Counts of one system's components; ``assumed`` where none is on file.

    ``pressure_field`` is the field of which a pump curve is on file, None = none is.
    """

    counts: dict[str, int] = field(default_factory=dict)
    buried_lids: int = 0
    assumed: bool = False
    pressure_field: FieldOnFile | None = None
    _lids: int = 0
    _buried_tanks: int = 0
    _buried_lids: int = 0

    def add(
        self, kind: str, count: int | None, has_riser: bool | None, cover_in: float | None
    ) -> None:
        """Count one component.

        A lid is buried where it has no riser, or where nothing is said of a riser and it lies under
        cover. Where lids are on file they count, else the tanks.
        """
        self.counts[kind] = self.counts.get(kind, 0) + (count or 1)
        buried = has_riser is False or (has_riser is None and (cover_in or 0) > 0)
        if kind == ComponentKind.LID:
            self._lids += 1
            self._buried_lids += buried
        elif kind in TANKS:
            self._buried_tanks += buried
        self.buried_lids = self._buried_lids if self._lids else self._buried_tanks


def equipment(kind: str, components: Iterable[Component]) -> Equipment:
    """Return what there is to service at a system, or what its kind is taken to have."""
    found = Equipment()
    for one in components:
        found.add(one.kind, one.count, one.has_riser, one.cover_in)
    return found if found.counts else assumed(kind)


def assumed(kind: str) -> Equipment:
    """Return what a system of a kind is taken to have where no component is on file."""
    counts = ASSUMED.get(kind, {})
    return Equipment(counts={str(part): n for part, n in counts.items()}, assumed=True)
