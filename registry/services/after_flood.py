"""Which systems owe an after-flood check, by the stages that were read and what lies under them."""

from collections.abc import Collection
from datetime import date, datetime
from zoneinfo import ZoneInfo

from registry.due.after_flood import AFTER_FLOOD, after_floods, flooded_systems
from registry.due.columns import ObligationBlock, SystemColumns
from registry.due.obligations import History
from registry.flood.rising import StageSeries, series_of
from registry.store import Session, component_stages, places, rivers
from registry.store.due_input import Part

FEWEST = 2
"""One reading tells of no rise and no fall."""


def flood_blocks(
    session: Session,
    part: Part,
    systems: SystemColumns,
    past: History,
    only: Collection[str] = (),
) -> list[ObligationBlock]:
    """Return the after-flood checks that some systems owe: one block or none.

    Parameters
    ----------
    only
        Tasks to compute, empty for all.
    """
    if only and AFTER_FLOOD not in only:
        return []
    read = _read(session)
    if not read:
        return []
    highest = {gauge_id: float(series.stage_ft.max()) for gauge_id, (_, series) in read.items()}
    lowest = component_stages.lowest_stages(session, part, highest)
    row_of = {system_id: row for row, system_id in enumerate(systems.system_id.tolist())}
    zones = {one.id: ZoneInfo(one.time_zone) for one in places.jurisdictions(session)}

    def day_of(row: int, moment_s: float) -> date:
        zone = zones[int(systems.jurisdiction_id[row])]
        return datetime.fromtimestamp(moment_s, zone).date()

    found = flooded_systems(lowest, read, row_of)
    block = after_floods(found, past.last(AFTER_FLOOD, len(systems)), day_of)
    return [] if block is None else [block]


def flooded_sites(session: Session) -> list[int]:
    """Return the sites that an observed stage put under water or that owe a check by now."""
    highest = {gauge_id: float(one.stage_ft.max()) for gauge_id, (_, one) in _read(session).items()}
    return component_stages.sites_to_check(session, highest, AFTER_FLOOD)


def _read(session: Session) -> dict[int, tuple[str, StageSeries]]:
    """Return the name and the readings of each gauge that was read often enough."""
    found = {}
    for name, gauge_id in rivers.gauge_ids(session).items():
        stages = [one for one in rivers.stages_of(session, gauge_id) if not one.is_forecast]
        if len(stages) >= FEWEST:
            at_s = [one.at.timestamp() for one in stages]
            found[gauge_id] = (name, series_of(at_s, [one.stage_ft for one in stages]))
    return found
