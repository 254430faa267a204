"""What to do at a site before a river is there: which visits come first, and which wait for after.

By the trade's practice, without a source: power off before water is at a panel, lids fastened, the
pump secured; work in wet ground waits. That a tank is not pumped before or while its ground is wet,
since it can float: US EPA, "Septic Systems – What to Do after the Flood".
"""

from collections.abc import Sequence
from datetime import datetime, timedelta

from registry.records.high_water import PartUnder, SiteBefore, WaterReason
from registry.records.systems import ComponentKind
from registry.records.work import TaskKind

LEAD = timedelta(hours=2)
"""Nobody is sent to where the water is expected sooner; common practice, no source."""

PANEL, LIDS, PUMP = "panel too low", "lids to secure", "pump to be secured"
TOO_LATE = "the water is there too soon to go: stay away, look after it"
NO_PUMPING = "the tank may float: do not pump it"
WET_GROUND = "the ground is under water: nothing is gained before it has drained"

_WHAT = {
    ComponentKind.CONTROL_PANEL: PANEL,
    ComponentKind.DISCONNECT: PANEL,
    ComponentKind.LID: LIDS,
    ComponentKind.VENT: LIDS,
    ComponentKind.PUMP: PUMP,
    ComponentKind.FLOATS: PUMP,
    ComponentKind.PUMP_TANK: PUMP,
    ComponentKind.TREATMENT_UNIT: PUMP,
}
_FLOATS = {ComponentKind.SEPTIC_TANK, ComponentKind.PUMP_TANK, ComponentKind.TREATMENT_UNIT}


def site_before(
    parts: Sequence[tuple[PartUnder, datetime | None]], due: Sequence[TaskKind], now: datetime
) -> SiteBefore:
    """Return what to do at a site before the water is there.

    Parameters
    ----------
    parts
        The site's parts that the forecast's water reaches, each with when it does, None = the water
        comes within a foot of it; at least one.
    due
        The tasks that are due there.
    now
        The moment of asking.
    """
    first = parts[0][0]
    moments = [at for _, at in parts if at is not None]
    first_at = min(moments, default=None)
    reasons = _reasons(parts)
    pumping = [one for one in due if one.septage_each_gal]
    hold: list[str] = []
    held = pumping
    if first_at is not None and first_at < now + LEAD:
        hold, held, reasons = [TOO_LATE], list(due), []
    elif not reasons:
        hold, held = [WET_GROUND] if due else [], list(due)
    may_float = any(part.kind in _FLOATS for part, _ in parts)
    if pumping:
        hold.append(NO_PUMPING)
    return SiteBefore(
        site_id=first.site_id,
        site=first.site,
        first_at=first_at,
        visit=tuple(reasons),
        hold=tuple(hold),
        held_tasks=tuple(dict.fromkeys(one.code for one in held)) if hold else (),
        may_float=may_float,
    )


def _reasons(parts: Sequence[tuple[PartUnder, datetime | None]]) -> list[WaterReason]:
    """Return one reason for each thing to do: the part that the water reaches first."""
    found: dict[str, WaterReason] = {}
    for part, at in sorted(parts, key=lambda one: one[0].stage_ft or 0.0):
        what = _WHAT.get(ComponentKind(part.kind))
        if what is not None and part.stage_ft is not None and what not in found:
            found[what] = WaterReason(what=what, part=part.part, stage_ft=part.stage_ft, at=at)
    return list(found.values())
