"""How even a solved network is: along each lateral and over all of it."""

from dataclasses import dataclass

import numpy as np

from registry.hydraulics.network import Network
from registry.hydraulics.network_flow import NetworkFlow
from registry.hydraulics.squirt import LATERAL_FLOW_SHARE, NETWORK_FLOW_SHARE, height_share_of


@dataclass(frozen=True, slots=True)
class Spread:
    """A spread of flow and of head, as shares of the least, against a rule's limits."""

    flow_share: float
    height_share: float
    flow_limit_share: float
    height_limit_share: float

    @property
    def is_even(self) -> bool:
        """Tell whether the flow keeps the limit."""
        return self.flow_share <= self.flow_limit_share


@dataclass(frozen=True, slots=True)
class NetworkEvenness:
    """``along`` each lateral (None = no flow), ``squirt`` over far holes, ``whole`` over all."""

    along: tuple[Spread | None, ...]
    squirt: Spread | None
    whole: Spread | None


def network_evenness(network: Network, flow: NetworkFlow, state: int = 0) -> NetworkEvenness:
    """Return how even one state of a network is.

    Parameters
    ----------
    network
        The network.
    flow
        Its solution.
    state
        Which of its states.

    Returns
    -------
    NetworkEvenness
        Laterals without flow are left out of the whole; if there are any the network is not even,
        whatever the spread of the others.

    References
    ----------
    Kitsap County Board of Health Ordinance 2008-01, Policy 18, §1.1.1: 10 % of flow (21 % of squirt
    height) along a lateral, 15 % (32 %) over the network. Flow per open hole is compared.
    """
    heads = flow.hole_head_ft[state]
    runs = flow.inlet_gpm[state] > 1e-3
    constants = np.array([one.discharge * one.hole_in**2 for one in network.laterals])
    speeds = np.sqrt(heads) * constants[:, None]
    along = tuple(
        _spread(speeds[i], heads[i], LATERAL_FLOW_SHARE) if runs[i] else None
        for i in range(len(network.laterals))
    )
    if not runs.any():
        return NetworkEvenness(along, None, None)
    return NetworkEvenness(
        along,
        _spread(speeds[runs, 0], heads[runs, 0], NETWORK_FLOW_SHARE),
        _spread(speeds[runs], heads[runs], NETWORK_FLOW_SHARE),
    )


def _spread(flows: np.ndarray, heads: np.ndarray, limit: float) -> Spread:
    return Spread(
        float(np.nanmax(flows) / np.nanmin(flows) - 1),
        float(np.nanmax(heads) / np.nanmin(heads) - 1),
        limit,
        height_share_of(limit),
    )
