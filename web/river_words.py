"""How a river stands, in words for the head of the day."""

from registry.records.rivers import RiverNow
from web import present


def river_words(river: RiverNow, zone: str) -> str:
    """Return the last stage that was read and the highest that is forecast, with their moments."""
    said = []
    if river.read:
        at = present.moment_words(river.read.at, zone)
        said.append(f"{present.feet(river.read.stage_ft)} read {at}")
    if river.to_come:
        at = present.moment_words(river.to_come.at, zone)
        said.append(f"highest forecast {present.feet(river.to_come.stage_ft)}, {at}")
    return f"{river.gauge}, " + "; ".join(said)
