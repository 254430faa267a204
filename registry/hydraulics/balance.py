"""Balancing: from measured squirt heights, which valve to turn which way and about how far."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.lateral_need import LateralNeed, lateral_need
from registry.hydraulics.network import Network
from registry.hydraulics.ranges import FloatArray, need_above_zero
from registry.hydraulics.valve import (
    FULL_TURNS,
    open_share_of_loss,
    valve_loss_factor,
    velocity_head_ft,
)
from registry.units import IN_PER_FT

LEAST_TURN = 0.25
"""Valves are turned a quarter at a time and measured again. Common practice, no source."""

HEIGHTS_TRIED = 2000
"""Common heights that are tried between none and the highest measured."""


@dataclass(frozen=True, slots=True)
class ValveTurn:
    """What to do at one valve; ``turns`` above zero opens, below zero shuts, in quarter turns."""

    label: str
    squirt_in: float
    open_share: float
    open_to_share: float
    turns: float
    said: str


@dataclass(frozen=True, slots=True)
class Balance:
    """All valves, and the common squirt height that they would give."""

    valves: tuple[ValveTurn, ...]
    squirt_in: float


def balance(
    network: Network, squirt_in: Sequence[float], full_turns: float = FULL_TURNS
) -> Balance:
    """Return how to turn the valves of a network so that all squirt heights are the same.

    Parameters
    ----------
    network
        The field with its valves as found.
    squirt_in
        Squirt height at each lateral's far hole, all with the same valves. [in]
    full_turns
        Turns of a valve from shut to fully open. [turns]

    Returns
    -------
    Balance
        The highest common height that can be had with no valve beyond fully open, and each valve's
        turn to it. A first try: turn a quarter at a time and measure all heights again.

    Raises
    ------
    RangeError
        If heights and laterals are not as many, a height or the turns are not above zero, a valve
        is shut, or a lateral has none.

    Notes
    -----
    The measured heights give each lateral's flow, and with it what its feed takes beyond manifold
    and valve; that part is kept, so errors of the description cancel. The pump's head is shifted so
    that the freest lateral takes nothing beyond.

    References
    ----------
    Heads as in `solve_network`; valves by `valve_loss_factor`, whose published tables differ.
    """
    heights = np.asarray(squirt_in, float)
    if len(heights) != len(network.laterals):
        raise RangeError(
            f"{len(heights)} squirt heights for {len(network.laterals)} laterals: give one each"
        )
    need_above_zero(squirt_in=heights, full_turns=full_turns)
    fixed = [one.label for one in network.laterals if not one.has_valve or one.open_share <= 0]
    if fixed:
        raise RangeError(
            f"lateral {', '.join(fixed)} has no valve or a shut one: balancing needs every valve "
            "open to some degree while heights are measured"
        )
    opened = np.array([one.open_share for one in network.laterals])
    velocity = np.array([velocity_head_ft(1.0, one.pipe_in) for one in network.laterals])
    found = lateral_need(network, heights[None, :] / IN_PER_FT)
    feed = _left(found)[0] / (velocity * found.inlet_gpm[0] ** 2)
    beyond = feed - valve_loss_factor(opened)
    lowest = int(np.argmin(beyond))
    shift_ft = float(beyond[lowest] * velocity[lowest] * found.inlet_gpm[0, lowest] ** 2)
    own = np.maximum(beyond - shift_ft / (velocity * found.inlet_gpm[0] ** 2), 0.0)
    common_ft = np.linspace(0.02, float(heights.max()) / IN_PER_FT, HEIGHTS_TRIED)
    asked = lateral_need(network, np.repeat(common_ft[:, None], len(heights), axis=1))
    loss = (_left(asked) - shift_ft) / (velocity * asked.inlet_gpm**2) - own
    can = np.flatnonzero(np.all(loss >= valve_loss_factor(1.0), axis=1))
    if not len(can):
        raise RangeError("no common height was found for these valves: check heights and valves")
    target = int(can[-1])
    shares = open_share_of_loss(np.maximum(loss[target], 0.0))
    return Balance(
        tuple(
            _turn(one.label, float(height), float(now), float(then), full_turns)
            for one, height, now, then in zip(
                network.laterals, heights, opened, shares, strict=True
            )
        ),
        float(common_ft[target] * IN_PER_FT),
    )


def _left(need: LateralNeed) -> FloatArray:
    """Return the head between manifold and lateral, (s, n), that valve and feed are to take."""
    return need.manifold_head_ft - need.inlet_head_ft


def _turn(label: str, height_in: float, now: float, then: float, full_turns: float) -> ValveTurn:
    turns = round((then - now) * full_turns / LEAST_TURN) * LEAST_TURN
    if turns > 0:
        said = f"open by about {turns:g} turns"
    elif turns < 0:
        said = f"shut by about {-turns:g} turns"
    else:
        said = "leave as it is"
    return ValveTurn(label, height_in, now, then, turns, said)
