"""When measured scum and sludge call for a pump-out, by the rule set's own triggers."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import NamedTuple

LIQUID_DEPTH, SLUDGE, SCUM = "liquid depth", "sludge", "scum"
SLUDGE_TO_OUTLET, SCUM_TO_OUTLET = "sludge to outlet", "scum to outlet"
SCUM_TO_TEE_TOP = "scum to tee top"
PUMP_TANK_SLUDGE, TANK_FULL, GREASE = "pump tank sludge", "tank full", "grease"

SOLIDS_READINGS = (
    LIQUID_DEPTH,
    SLUDGE,
    SCUM,
    SLUDGE_TO_OUTLET,
    SCUM_TO_OUTLET,
    SCUM_TO_TEE_TOP,
    PUMP_TANK_SLUDGE,
    TANK_FULL,
    GREASE,
)
"""Kinds of readings that a pump-out goes by.

All in inches but "tank full", which is percent. "Sludge" and "scum" are thicknesses, "sludge to
outlet" is how far the sludge's top lies below the bottom of the outlet baffle, "scum to outlet" how
far the scum's bottom lies above it, "scum to tee top" how far the scum's top lies below the top of
the tee.
"""

PUMP_TANK_SLUDGE_IN = 4.8
"""0.4 ft of sludge in a pump tank's clear well; one operator's practice, common practice."""
HOLDING_TANK_FULL_SHARE = 0.75
"""Minn. R. 7080.2290: a holding tank's alarm comes at 75 % full."""
GREASE_SHARE = 0.25
"""310 CMR 15.351 (2): a grease trap is emptied at 25 % of its effective depth."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TriggerSet:
    """One authority's triggers; None where it has none. Shares are of the liquid depth."""

    code: str
    citation: str
    sludge_within_in: float | None = None
    scum_within_in: float | None = None
    scum_limit_counts: bool = True
    tee_top_within_in: float | None = None
    solids_over_share: float | None = None


TRIGGERS = {
    one.code: one
    for one in (
        TriggerSet(
            code="MN",
            citation="Minn. R. 7080.2450 subp. 3",
            sludge_within_in=12.0,
            scum_within_in=3.0,
            scum_limit_counts=False,
            solids_over_share=0.25,
        ),
        TriggerSet(
            code="MA",
            citation="310 CMR 15.351",
            sludge_within_in=12.0,
            scum_within_in=2.0,
            tee_top_within_in=2.0,
        ),
        TriggerSet(
            code="EPA",
            citation="US EPA guidance to owners, as counties restate it",
            sludge_within_in=12.0,
            scum_within_in=6.0,
            solids_over_share=0.25,
        ),
        TriggerSet(
            code="WI",
            citation="Wisconsin mound system management plan, SPS 383.54",
            solids_over_share=1 / 3,
        ),
    )
}
"""The rule sets whose triggers are known, by code. ``scum_limit_counts`` False: "less than"."""

USUAL = "MN"
"""The triggers taken where a jurisdiction names none that is known."""


class Finding(NamedTuple):
    """One trigger against its readings; ``met`` None = the readings it needs are missing."""

    met: bool | None
    text: str


@dataclass(frozen=True, slots=True)
class Verdict:
    """Whether measured solids call for a pump-out; ``pump`` None = the readings cannot say."""

    pump: bool | None
    findings: tuple[Finding, ...]
    citation: str

    @property
    def why(self) -> str:
        """Return the deciding findings as one sentence."""
        if self.pump:
            said = "; ".join(one.text for one in self.findings if one.met)
            return f"Pump out: {said} ({self.citation})."
        if self.pump is None:
            return f"The readings cannot say yet ({self.citation})."
        said = "; ".join(one.text for one in self.findings if one.met is False)
        return f"Not yet: {said} ({self.citation})."


def trigger_set(code: str) -> TriggerSet:
    """Return the triggers of a rule set, Minnesota's where the code is not known."""
    return TRIGGERS.get(code.strip().upper(), TRIGGERS[USUAL])


def pump_out_verdict(readings: Mapping[str, float], code: str = USUAL) -> Verdict:
    """Return whether the readings of one visit call for a pump-out by a rule set's triggers.

    Parameters
    ----------
    readings
        Values by kind, see ``SOLIDS_READINGS``. [in; "tank full" in %]
    code
        The rule set: MN, MA, EPA or WI.

    References
    ----------
    Minn. R. 7080.2450 subp. 3; 310 CMR 15.351; county restatements of the US EPA's guidance; the
    management plan form under Wis. Admin. Code SPS 383.54. Pump tank: common practice.
    """
    chosen = trigger_set(code)
    findings = tuple(_findings(chosen, readings))
    own = findings[: _count(chosen)]
    pump: bool | None = None
    if any(one.met for one in findings):
        pump = True
    elif any(one.met is False for one in own) and not _half_measured(chosen, own):
        pump = False
    return Verdict(pump, findings, chosen.citation)


def solids_share(readings: Mapping[str, float]) -> float | None:
    """Return scum and sludge as a share of the liquid depth, None where one was not read."""
    depth = readings.get(LIQUID_DEPTH)
    if not depth or depth <= 0 or SLUDGE not in readings or SCUM not in readings:
        return None
    return (readings[SLUDGE] + readings[SCUM]) / depth


def _count(chosen: TriggerSet) -> int:
    limits = (chosen.sludge_within_in, chosen.scum_within_in, chosen.tee_top_within_in)
    return sum(one is not None for one in (*limits, chosen.solids_over_share))


def _half_measured(chosen: TriggerSet, own: tuple[Finding, ...]) -> bool:
    """Tell whether only part of what a set asks for was read: clearances all, or the share."""
    if chosen.solids_over_share is not None and own[-1].met is not None:
        return False
    clearances = own[:-1] if chosen.solids_over_share is not None else own
    return not clearances or any(one.met is None for one in clearances[:2])


def _findings(chosen: TriggerSet, readings: Mapping[str, float]) -> Iterator[Finding]:
    if chosen.sludge_within_in is not None:
        gap = readings.get(SLUDGE_TO_OUTLET)
        limit = chosen.sludge_within_in
        yield Finding(
            None if gap is None else gap <= limit,
            f"sludge {_in(gap)} below the outlet (pump within {limit:g} in)",
        )
    if chosen.scum_within_in is not None:
        yield _scum(chosen.scum_within_in, chosen.scum_limit_counts, readings.get(SCUM_TO_OUTLET))
    if chosen.tee_top_within_in is not None:
        gap = readings.get(SCUM_TO_TEE_TOP)
        yield Finding(
            None if gap is None else gap <= chosen.tee_top_within_in,
            f"scum {_in(gap)} below the tee's top (pump within {chosen.tee_top_within_in:g} in)",
        )
    if chosen.solids_over_share is not None:
        share = solids_share(readings)
        said = "not read" if share is None else f"{share:.0%}"
        limit = chosen.solids_over_share
        yield Finding(
            None if share is None else share > limit + 1e-9,
            f"scum and sludge {said} of the liquid depth (pump over {limit:.0%})",
        )
    yield from _elsewhere(readings)


def _scum(limit: float, limit_counts: bool, gap: float | None) -> Finding:
    met = None if gap is None else gap <= limit if limit_counts else gap < limit
    word = "within" if limit_counts else "under"
    return Finding(met, f"scum {_in(gap)} above the outlet's bottom (pump {word} {limit:g} in)")


def _elsewhere(readings: Mapping[str, float]) -> Iterator[Finding]:
    """Yield the triggers of pump tanks, holding tanks and grease traps, where they were read."""
    if PUMP_TANK_SLUDGE in readings:
        depth = readings[PUMP_TANK_SLUDGE]
        text = f"sludge {_in(depth)} deep in the pump tank (pump at {PUMP_TANK_SLUDGE_IN:g} in)"
        yield Finding(depth >= PUMP_TANK_SLUDGE_IN, text)
    if TANK_FULL in readings:
        full = readings[TANK_FULL] / 100
        text = f"holding tank {full:.0%} full (empty at {HOLDING_TANK_FULL_SHARE:.0%})"
        yield Finding(full >= HOLDING_TANK_FULL_SHARE, text)
    depth_in = readings.get(LIQUID_DEPTH)
    if GREASE in readings and depth_in:
        share = readings[GREASE] / depth_in
        text = f"grease {share:.0%} of the depth (empty at {GREASE_SHARE:.0%})"
        yield Finding(share >= GREASE_SHARE, text)


def _in(value: float | None) -> str:
    return "not read" if value is None else f"{value:g} in"
