"""What a measured squirt pattern fits: blocked holes, a part-shut valve, a leak, a worn pump."""

from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.network import Lateral, Network
from registry.hydraulics.network_arrays import States
from registry.hydraulics.network_flow import NetworkFlow, solve_network
from registry.hydraulics.ranges import FloatArray, need_above_zero
from registry.hydraulics.valve import valve_loss_factor
from registry.units import IN_PER_FT

MEASURED_WITHIN_IN = 1.0
"""How well a squirt height can be read. Common practice, no source."""

FLOW_WITHIN_SHARE = 0.05
"""How well a drawdown rate is known. Common practice, no source."""


class Cause(StrEnum):
    """One cause that a pattern may have."""

    AS_BUILT = "as described"
    HOLES_BLOCKED = "holes blocked in one lateral"
    ALL_BLOCKED = "holes blocked in all laterals"
    FEED_SHUT = "valve further shut, or the pipe blocked before the first hole"
    LEAK = "leak or lost plug near the valve of one lateral"
    PUMP_WEAK = "pump below its curve"


AMOUNTS = {
    Cause.AS_BUILT: np.zeros(1),
    Cause.HOLES_BLOCKED: np.arange(0.05, 0.951, 0.05),
    Cause.ALL_BLOCKED: np.arange(0.05, 0.951, 0.05),
    Cause.FEED_SHUT: np.array([0.75, 0.6, 0.5, 0.4, 0.35, 0.3, 0.25, 0.2, 0.15, 0.1, 0.05]),
    Cause.LEAK: np.array([0.05, 0.1, 0.15, 0.2, 0.3, 0.4, 0.5, 0.75, 1.0, 1.5, 2.0]),
    Cause.PUMP_WEAK: np.arange(0.5, 0.99, 0.02),
}
"""Cause → the amounts tried: share blocked, open share, leak's share of the holes' area, share of
the pump's head."""


@dataclass(frozen=True, slots=True)
class Explanation:
    """One cause and how well it fits.

    ``label`` names the lateral, "" where the cause is everywhere. ``misfit_in`` is the root mean
    square of what is left over, in inches of squirt height; a stated flow counts as a reading whose
    `FLOW_WITHIN_SHARE` is worth `MEASURED_WITHIN_IN`.
    """

    cause: Cause
    label: str
    amount_share: float
    misfit_in: float
    fits: bool
    said: str


def explain_squirt(
    network: Network,
    squirt_in: Sequence[float | None],
    *,
    pump_gpm: float | None = None,
    within_in: float = MEASURED_WITHIN_IN,
) -> tuple[Explanation, ...]:
    """Return which single causes fit a measured squirt pattern, the best first.

    Parameters
    ----------
    network
        The field as it was left: valves, pump, pipes.
    squirt_in
        Squirt height at each lateral's far hole, all with the same valves, None = not measured.
        [in]
    pump_gpm
        The pump's rate by drawdown at the same time; tells blocked holes from a part-shut valve.
        [US gal/min]
    within_in
        How well a height can be read. [in]

    Returns
    -------
    tuple of Explanation
        The best amount of each cause and lateral. Causes that fit equally well are all there: what
        the heights cannot tell apart stays open.

    Raises
    ------
    RangeError
        If heights and laterals are not as many, none was measured, or a figure is not above zero.

    References
    ----------
    Heads by `solve_network`; causes by the trade's rules of thumb (low end at one lateral: broken
    pipe or clogged; all low: pump, valve or leak; all high and flow low: holes clogged), common
    practice, no source. One cause at a time: two together may look like a third.
    """
    if len(squirt_in) != len(network.laterals):
        raise RangeError(
            f"{len(squirt_in)} squirt heights for {len(network.laterals)} laterals: give one each"
        )
    need_above_zero(within_in=within_in)
    heights = np.array([np.nan if one is None else float(one) for one in squirt_in])
    seen = np.isfinite(heights)
    if not seen.any():
        raise RangeError("no squirt height was given: measure at least one")
    need_above_zero(squirt_in=heights[seen])
    tried = _tried(network)
    flow = solve_network(network, _states(network, tried))
    misfit = _misfit_in(flow, heights, seen, pump_gpm, within_in)
    best: dict[tuple[Cause, int], int] = {}
    for k, (cause, i, _) in enumerate(tried):
        if (cause, i) not in best or misfit[k] < misfit[best[cause, i]]:
            best[cause, i] = k
    told = [_told(network, *tried[k], float(misfit[k]), within_in) for k in best.values()]
    return tuple(sorted(told, key=lambda one: one.misfit_in))


def _tried(network: Network) -> list[tuple[Cause, int, float]]:
    """Return every cause with lateral (-1 = all) and amount."""
    tried = []
    for cause, amounts in AMOUNTS.items():
        for i in _where(network, cause):
            tried += [(cause, i, float(amount)) for amount in amounts]
    return tried


def _where(network: Network, cause: Cause) -> list[int]:
    if cause in {Cause.AS_BUILT, Cause.ALL_BLOCKED, Cause.PUMP_WEAK}:
        return [-1]
    return [i for i, one in enumerate(network.laterals) if _opening(one) > 0]


def _opening(lateral: Lateral) -> float:
    return lateral.open_share if lateral.has_valve else 1.0


def _states(network: Network, tried: list[tuple[Cause, int, float]]) -> States:
    laterals, shape = network.laterals, (len(tried), len(network.laterals))
    blocked = np.tile([one.blocked_share for one in laterals], (shape[0], 1))
    leak, extra, head = np.zeros(shape), np.zeros(shape), np.ones(shape[0])
    for k, (cause, i, amount) in enumerate(tried):
        match cause:
            case Cause.HOLES_BLOCKED:
                blocked[k, i] = amount
            case Cause.ALL_BLOCKED:
                blocked[k] = amount
            case Cause.FEED_SHUT:
                now = _opening(laterals[i])
                extra[k, i] = valve_loss_factor(amount * now) - valve_loss_factor(now)
            case Cause.LEAK:
                leak[k, i] = amount
            case Cause.PUMP_WEAK:
                head[k] = amount
    return States(blocked_share=blocked, leak_share=leak, head_share=head, extra_loss=extra)


def _misfit_in(
    flow: NetworkFlow,
    heights: FloatArray,
    seen: FloatArray,
    pump_gpm: float | None,
    within_in: float,
) -> FloatArray:
    left = (flow.far_head_ft * IN_PER_FT - heights)[:, seen]
    if pump_gpm is not None:
        need_above_zero(pump_gpm=pump_gpm)
        off = (flow.pump_gpm / pump_gpm - 1) / FLOW_WITHIN_SHARE * within_in
        left = np.column_stack([left, off])
    return np.asarray(np.sqrt(np.mean(left**2, axis=1)))


def _told(
    network: Network, cause: Cause, i: int, amount: float, misfit_in: float, within_in: float
) -> Explanation:
    label = network.laterals[i].label if i >= 0 else ""
    fits = misfit_in <= within_in
    said = {
        Cause.AS_BUILT: "the field as described",
        Cause.HOLES_BLOCKED: f"{amount:.0%} of holes blocked in lateral {label}",
        Cause.ALL_BLOCKED: f"{amount:.0%} of holes blocked in all laterals",
        Cause.FEED_SHUT: f"lateral {label} fed as if its valve stood at {amount:.0%} of the "
        "opening on file, or its pipe were blocked before the first hole",
        Cause.LEAK: f"a leak in lateral {label} near its valve, {amount:.0%} of its holes' area",
        Cause.PUMP_WEAK: f"pump at {amount:.0%} of the head of its curve",
    }[cause]
    word = "fits" if fits else "does not fit"
    return Explanation(cause, label, amount, misfit_in, fits, f"{word} {said}")
