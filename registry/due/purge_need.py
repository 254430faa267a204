"""The water that purging a field takes, by the purge plan of the field as it is on file."""

from dataclasses import dataclass
from functools import lru_cache

from registry.errors import RangeError
from registry.hydraulics.field_given import network_given
from registry.hydraulics.on_file import HOSE_GPM, FieldOnFile
from registry.hydraulics.purge_plan import purge_plan

FIELDS_KEPT = 4096
"""Plans of so many fields are kept; working one out takes a hundredth of a second."""


@dataclass(frozen=True, slots=True)
class PurgeNeed:
    """Water to add for a purge, minutes of hose that it takes, and where the figure comes from."""

    needed_gal: float
    hose_min: float
    said: str


@lru_cache(maxsize=FIELDS_KEPT)
def purge_need(field: FieldOnFile) -> PurgeNeed | None:
    """Return what purging a field takes; None where the file doesn't describe it whole.

    The pump tank is taken to stand at pump-off, where it gives nothing: nobody knows its level
    before the visit. So this is the most; the Hydraulics page works with the level found.
    """
    if field.missing:
        return None
    try:
        plan = purge_plan(network_given(field.sections()), shuts_others=field.has_valves)
    except RangeError:
        return None
    hose_gpm = field.hose_gpm or HOSE_GPM
    hose = f"{hose_gpm:g} gpm" + ("" if field.hose_gpm else ", none on file, so much assumed")
    shut = "others shut" if field.has_valves else "others open"
    return PurgeNeed(
        plan.pumped_gal,
        plan.pumped_gal / hose_gpm,
        f"purge plan from the pump curve on file: each lateral turned over {plan.pipe_volumes:g} "
        f"times, {shut}, the pump tank at pump-off; hose {hose}",
    )
