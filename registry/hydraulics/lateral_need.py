"""What each lateral takes at a given squirt height, and what the manifold then gives it."""

from dataclasses import dataclass

import numpy as np

from registry.hydraulics.network import Network
from registry.hydraulics.network_arrays import States, network_arrays
from registry.hydraulics.network_flow import EXPONENT, march_from_far_head
from registry.hydraulics.ranges import FloatArray


@dataclass(frozen=True, slots=True)
class LateralNeed:
    """Flow and head at each lateral's inlet, and the head in the manifold there; all (s, n)."""

    inlet_gpm: FloatArray
    inlet_head_ft: FloatArray
    manifold_head_ft: FloatArray


def lateral_need(network: Network, far_head_ft: FloatArray) -> LateralNeed:
    """Return what laterals take and are given when their far holes stand at given heads.

    Parameters
    ----------
    network
        The field; its valves play no part.
    far_head_ft
        Head at each far hole, (s, n), above zero. [ft]

    Returns
    -------
    LateralNeed
        The difference of the two heads is what valve and feed must take.

    References
    ----------
    As for `solve_network`.
    """
    opened = np.ones(far_head_ft.shape)
    arrays = network_arrays(network, States(open_share=opened))
    flow, head = march_from_far_head(arrays, far_head_ft)
    total = flow.sum(axis=1)
    carried = flow @ arrays.beyond.T
    along = (arrays.segment_k * carried**EXPONENT) @ arrays.beyond
    given = network.supply.pump.head_ft(total) - arrays.lift_ft - arrays.supply_k * total**EXPONENT
    return LateralNeed(flow, head, given[:, None] - along - arrays.raised_ft)
