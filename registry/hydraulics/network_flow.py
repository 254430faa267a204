"""Head and flow at every hole of a network: pump, transport pipe, manifold, valves, laterals."""

from dataclasses import dataclass

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.network import Network
from registry.hydraulics.network_arrays import NetworkArrays, States, network_arrays
from registry.hydraulics.ranges import FloatArray

EXPONENT = 1.852
MOST_ROUNDS = 400
DRY = 1e-10
"""Root of the head that stands for none: at none at all a hole's flow has no slope."""
NEARLY_DRY = 0.05
"""Root from which a lateral may fall dry in one round; from higher up it comes down in steps."""
CALM_AFTER, CALM_SHARE = 30, 0.6
"""Laterals that fall dry and wet in turn are calmed by shorter steps after so many rounds."""
EXACT_FT = 1e-8
"""Heads balance at every lateral to so many feet."""


@dataclass(frozen=True, slots=True)
class NetworkFlow:
    """What goes through s states of a network with n laterals.

    ``pump_gpm``, ``pump_head_ft`` and ``supply_loss_ft`` are (s,); ``inlet_gpm`` (into a lateral
    through its valve), ``end_gpm`` (out of an open purge end), ``leak_gpm``, ``far_head_ft`` (at
    the far hole, the squirt height there), ``inlet_head_ft`` (after the valve) and
    ``manifold_head_ft`` (before it) are (s, n). ``hole_head_ft`` and ``hole_gpm`` are
    (s, n, holes), the far hole first, NaN where a lateral has fewer. With blocked holes
    ``hole_gpm`` is the mean over open and blocked ones. Heads stand over the lateral.
    """

    pump_gpm: FloatArray
    pump_head_ft: FloatArray
    supply_loss_ft: FloatArray
    inlet_gpm: FloatArray
    end_gpm: FloatArray
    leak_gpm: FloatArray
    far_head_ft: FloatArray
    inlet_head_ft: FloatArray
    manifold_head_ft: FloatArray
    hole_head_ft: FloatArray
    hole_gpm: FloatArray


@dataclass(slots=True)
class _March:
    """Heads and flows from the far end to the valve, each with its change with the unknown."""

    holes_ft: list[FloatArray]
    holes_gpm: list[FloatArray]
    end: FloatArray
    leak: FloatArray
    flow: FloatArray
    flow_slope: FloatArray
    head: FloatArray
    head_slope: FloatArray


def solve_network(network: Network, states: States | None = None) -> NetworkFlow:
    """Return head and flow at every hole of a network, for one state or many at once.

    Parameters
    ----------
    network
        Pump, transport pipe, manifold and laterals.
    states
        Valves, blocked holes, open purge ends and so on; None = the network as it is described,
        all purge ends capped.

    Returns
    -------
    NetworkFlow
        Heads and flows.

    Raises
    ------
    RangeError
        If no balance is found, which figures of a real field do not do.

    Notes
    -----
    Each lateral is marched from its far end (`solve_laterals` says how); its unknown is the square
    root of the head there, in which flows are nearly straight. Newton's method then balances each
    lateral's head against what the pump gives less lift, friction and valve. A lateral that lies
    higher than the head reaches gets no water. An open purge end is an opening whose one velocity
    head is lost (outlet loss 1.0, a handbook's table read in a copy).

    References
    ----------
    Orifice: `orifice_flow_gpm`. Friction: `friction_loss_ft`. Heads add up as in N.J. Admin. Code
    7:9A-9.7: H_t = H_f + H_e + H_p. Valve: `valve_loss_factor`.
    """
    arrays = network_arrays(network, states or States())
    root = _start(network, arrays)
    for k in range(MOST_ROUNDS):
        march = _march(arrays, root)
        missing, slopes = _missing_head(network, arrays, march)
        idle = arrays.is_shut | ((root <= DRY) & (missing <= 0))
        missing = np.where(idle, 0.0, missing)
        if np.max(np.abs(missing), initial=0.0) < EXACT_FT:
            return _answer(network, arrays, march)
        slopes = np.where(idle[:, :, None] | idle[:, None, :], 0.0, slopes)
        slopes += np.eye(root.shape[1]) * idle[:, None, :]
        try:
            step = np.linalg.solve(slopes, missing[..., None])[..., 0]
        except np.linalg.LinAlgError:
            break
        wanted = root - step * CALM_SHARE ** (k // CALM_AFTER % 5)
        least = np.where(root < NEARLY_DRY, DRY, root / 10)
        root = np.clip(wanted, least, root + np.maximum(root, 1.0))
    raise RangeError("the heads of this network do not balance: check its figures")


def _start(network: Network, arrays: NetworkArrays) -> FloatArray:
    """Return where to start: about the most that the pump gives."""
    pump = network.supply.pump
    root = np.where(arrays.is_shut, DRY, max(float(pump.heads_ft[0]), 1.0) ** 0.5)
    most = np.maximum(_march(arrays, root).flow.sum(axis=1), pump.last_flow_gpm)
    share = (pump.last_flow_gpm / most)[:, None]
    return np.where(arrays.is_shut, DRY, root * share)


def march_from_far_head(
    arrays: NetworkArrays, far_head_ft: FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Return flow and head at each lateral's inlet from the head at its far hole; all (s, n)."""
    march = _march(arrays, np.sqrt(far_head_ft))
    return march.flow, march.head


def _march(arrays: NetworkArrays, root: FloatArray) -> _March:
    """Return heads and flows of every lateral from the unknown of its far end.

    That is the square root of the head there; at an open end with a rise it is the share of the
    rise that the head reaches, and 1 more than the root of what it has beyond.
    """
    rise = np.where(arrays.end_k > 0, arrays.rise_ft, 0.0)
    beyond = root - (rise > 0)
    runs = beyond >= 0
    head = np.where(runs, rise + beyond**2, rise * root)
    half_slope = np.where(runs, beyond, rise / 2)
    flow = end = arrays.end_k * np.maximum(beyond, 0.0)
    flow_slope = np.where(runs, arrays.end_k, 0.0)
    holes_ft, holes_gpm = [], []
    for hole_k, loss_k in zip(arrays.each_hole_k, arrays.each_step_k, strict=True):
        lost = loss_k * flow ** (EXPONENT - 1)
        head = head + lost * flow
        half_slope = half_slope + EXPONENT / 2 * lost * flow_slope
        one = hole_k * np.sqrt(head)
        flow = flow + one
        flow_slope = flow_slope + one * half_slope / head
        holes_ft.append(head)
        holes_gpm.append(one)
    lost = arrays.lead_k * flow ** (EXPONENT - 1)
    head = head + lost * flow
    half_slope = half_slope + EXPONENT / 2 * lost * flow_slope
    leak = arrays.leak_k * np.sqrt(head)
    flow = flow + leak
    flow_slope = flow_slope + leak * half_slope / head
    return _March(holes_ft, holes_gpm, end, leak, flow, flow_slope, head, 2 * half_slope)


def _missing_head(
    network: Network, arrays: NetworkArrays, march: _March
) -> tuple[FloatArray, FloatArray]:
    """Return what head is left over at each lateral, (s, n), and its changes, (s, n, n)."""
    flow = march.flow
    total = flow.sum(axis=1)
    given, given_slope = network.supply.pump.head_and_slope(total)
    lost_power = total ** (EXPONENT - 1)
    here = arrays.head_share * given - arrays.lift_ft - arrays.supply_k * lost_power * total
    here_slope = arrays.head_share * given_slope - EXPONENT * arrays.supply_k * lost_power
    carried = flow @ arrays.beyond.T
    carried_power = carried ** (EXPONENT - 1)
    along = (arrays.segment_k * carried_power * carried) @ arrays.beyond
    each_slope = EXPONENT * arrays.segment_k * carried_power
    along_slope = (arrays.beyond.T * each_slope[:, None, :]) @ arrays.beyond
    left = here[:, None] - along - arrays.raised_ft - arrays.feed_k * flow**2 - march.head
    slopes = (here_slope[:, None, None] - along_slope) * march.flow_slope[:, None, :]
    own = 2 * arrays.feed_k * flow * march.flow_slope + march.head_slope
    n = flow.shape[1]
    slopes[:, range(n), range(n)] -= own
    return left, slopes


def _answer(network: Network, arrays: NetworkArrays, march: _March) -> NetworkFlow:
    """Return the balanced figures; a shut lateral stands at no head."""
    flow = march.flow
    total = flow.sum(axis=1)
    supply = arrays.supply_k * total**EXPONENT
    given = arrays.head_share * network.supply.pump.head_ft(total)
    carried = flow @ arrays.beyond.T
    along = (arrays.segment_k * carried**EXPONENT) @ arrays.beyond
    manifold = (given - arrays.lift_ft - supply)[:, None] - along - arrays.raised_ft
    heads = np.stack(march.holes_ft, axis=-1)
    return NetworkFlow(
        pump_gpm=total,
        pump_head_ft=given,
        supply_loss_ft=supply,
        inlet_gpm=flow,
        end_gpm=march.end,
        leak_gpm=march.leak,
        far_head_ft=heads[..., 0],
        inlet_head_ft=march.head,
        manifold_head_ft=manifold,
        hole_head_ft=np.where(arrays.has_hole, heads, np.nan),
        hole_gpm=np.where(arrays.has_hole, np.stack(march.holes_gpm, axis=-1), np.nan),
    )
