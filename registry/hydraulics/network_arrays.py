"""A network as arrays, with the states in which it is solved, so that many are solved at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from registry.hydraulics.network import Network
from registry.hydraulics.orifice import UNIT_CONSTANT
from registry.hydraulics.ranges import FloatArray, Numbers
from registry.hydraulics.valve import valve_loss_factor, velocity_head_ft

HAZEN_WILLIAMS = 10.4465
"""Of `friction_loss_ft`: head lost per foot is so much · (Q/C)^1.852 · D^−4.8704."""
LEAST_RISE_FT = 1e-4
"""A purge end that rises less is level: so small a rise has no slope to solve by."""


@dataclass(frozen=True, slots=True, kw_only=True)
class States:
    """States of one network to be solved together.

    Arrays broadcast to (states, laterals), ``head_share`` to (states,).

    Parameters
    ----------
    open_share
        How far each valve is open; None = as the laterals say.
    blocked_share
        Share of each lateral's holes that are blocked; None = as the laterals say.
    ends_open
        Which purge ends are open; None = none.
    leak_share
        Opening beside the holes, at the valve, as a share of the area of all the lateral's holes.
    head_share
        Head of the pump as a share of its curve: below 1 for a worn one.
    extra_loss
        Velocity heads that each lateral's feed takes beside its valve.
    """

    open_share: FloatArray | None = None
    blocked_share: FloatArray | None = None
    ends_open: NDArray[np.bool_] | None = None
    leak_share: Numbers = 0.0
    head_share: Numbers = 1.0
    extra_loss: Numbers = 0.0


@dataclass(frozen=True, slots=True)
class NetworkArrays:
    """Figures of n laterals in s states.

    ``each_hole_k``, ``end_k``, ``leak_k``: flow [gpm] under 1 ft of head: of each hole from the far
    end, holes × (s, n), 0 beyond a lateral's last; of the open end (0 = capped); of a leak.
    ``each_step_k``, ``lead_k``, ``segment_k``, ``supply_k``: head [ft] lost at 1 gpm in the pipe
    before each hole, holes × (n,), before the valve, in each segment of the manifold and in the
    supply. ``feed_k``: head that valve and feed take at 1 gpm, 0 where shut. ``beyond``: segment of
    the manifold × lateral, 1 where the segment carries the lateral's flow.
    """

    is_shut: NDArray[np.bool_]
    has_hole: NDArray[np.bool_]
    each_hole_k: tuple[FloatArray, ...]
    each_step_k: tuple[FloatArray, ...]
    end_k: FloatArray
    leak_k: FloatArray
    feed_k: FloatArray
    lead_k: FloatArray
    rise_ft: FloatArray
    raised_ft: FloatArray
    beyond: FloatArray
    segment_k: FloatArray
    supply_k: FloatArray
    lift_ft: float
    head_share: FloatArray


def network_arrays(network: Network, states: States) -> NetworkArrays:
    """Return the figures of a network in its states."""
    laterals = network.laterals
    open_share = _given(states.open_share, [one.open_share for one in laterals])
    blocked = _given(states.blocked_share, [one.blocked_share for one in laterals])
    ends = np.zeros(len(laterals), bool) if states.ends_open is None else states.ends_open
    leak, extra = np.asarray(states.leak_share, float), np.asarray(states.extra_loss, float)
    head_share = np.asarray(states.head_share, float)
    shape = np.broadcast_shapes(
        open_share.shape, blocked.shape, ends.shape, leak.shape, extra.shape,
        (*head_share.shape, 1),
    )  # fmt: skip
    shape = (int(np.prod(shape[:-1])), shape[-1])
    whole_k = np.array([UNIT_CONSTANT * one.discharge * one.hole_in**2 for one in laterals])
    end_k = np.array([UNIT_CONSTANT * (one.end_in or one.pipe_in) ** 2 for one in laterals])
    count = np.array([one.holes for one in laterals])
    loss = valve_loss_factor(open_share) + extra
    velocity = np.array([velocity_head_ft(1.0, one.pipe_in) for one in laterals])
    has_valve = np.array([one.has_valve for one in laterals])
    feed = np.where(has_valve, loss, extra) * velocity
    is_shut = np.isinf(feed)
    places = range(int(count.max()))
    has_hole = np.array([[k < one.holes for k in places] for one in laterals])
    steps = np.array([[_step(one.spacing_ft, one.tail_ft, k) for k in places] for one in laterals])
    pipe_k = np.array([_pipe_k(one.pipe_in, one.c) for one in laterals])
    rise_ft = np.array([one.rise_ft for one in laterals])
    hole_k = np.broadcast_to(whole_k * (1 - blocked), shape)
    beyond, segment_ft = _segments(np.array([one.at_ft for one in laterals]))
    return NetworkArrays(
        is_shut=np.broadcast_to(is_shut, shape),
        has_hole=has_hole,
        each_hole_k=tuple(hole_k * has_hole[:, k] for k in places),
        each_step_k=tuple(pipe_k * steps[:, k] * has_hole[:, k] for k in places),
        end_k=np.broadcast_to(np.where(ends, end_k, 0.0), shape),
        leak_k=np.broadcast_to(leak * whole_k * count, shape),
        feed_k=np.broadcast_to(np.where(is_shut, 0.0, feed), shape),
        lead_k=pipe_k * np.array([one.lead_ft for one in laterals]),
        rise_ft=np.where((end_k > 0) & (rise_ft > LEAST_RISE_FT), rise_ft, 0.0),
        raised_ft=np.array([one.raised_ft for one in laterals]),
        beyond=beyond,
        segment_k=_pipe_k(network.manifold_in, network.c) * segment_ft,
        supply_k=np.array(
            _pipe_k(network.supply.pipe_in, network.supply.c)
            * network.supply.length_ft
            * network.supply.fittings_factor
        ),
        lift_ft=network.supply.lift_ft,
        head_share=np.broadcast_to(head_share.reshape(-1), (shape[0],)),
    )


def _given(asked: FloatArray | None, own: list[float]) -> FloatArray:
    return np.array(own, float) if asked is None else np.asarray(asked, float)


def _step(spacing_ft: float, tail_ft: float, k: int) -> float:
    return spacing_ft if k else tail_ft


def _pipe_k(diameter_in: float, c: float) -> float:
    return float(HAZEN_WILLIAMS * c**-1.852 * diameter_in**-4.8704)


def _segments(at_ft: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Return which laterals each segment of the manifold feeds, and the segments' lengths."""
    rows, lengths = [], []
    for side in (1.0, -1.0):
        out = at_ft * side
        previous = 0.0
        for place in sorted(set(out[out > 0])):
            rows.append(out >= place)
            lengths.append(place - previous)
            previous = place
    return (
        np.array(rows, float).reshape(len(rows), len(at_ft)),
        np.array(lengths, float),
    )
