"""The plan of a purge: each lateral in turn with its end open, and the water it takes."""

from dataclasses import dataclass

import numpy as np

from registry.hydraulics.friction import speed_ft_s
from registry.hydraulics.network import Network
from registry.hydraulics.network_arrays import States
from registry.hydraulics.network_flow import NetworkFlow, solve_network
from registry.hydraulics.pipes import pipe_gal_per_ft
from registry.hydraulics.practice import PURGE_PIPE_VOLUMES
from registry.hydraulics.purge import SCOUR_FT_S, scour_flow_gpm
from registry.hydraulics.ranges import need_above_zero, need_zero_or_more
from registry.units import S_PER_MIN


@dataclass(frozen=True, slots=True)
class PurgeOfLateral:
    """One lateral with its purge end open.

    ``seconds`` and ``pumped_gal`` are None where the water does not reach the mouth of the end.
    ``pumped_gal`` is all that leaves the pump tank, what the holes let through included.
    """

    label: str
    end_gpm: float
    pump_gpm: float
    end_ft_s: float
    scour_gpm: float
    is_scoured: bool
    pipe_gal: float
    seconds: float | None
    pumped_gal: float | None


@dataclass(frozen=True, slots=True)
class PurgePlan:
    """All laterals in turn, and for comparison all ends open together."""

    laterals: tuple[PurgeOfLateral, ...]
    all_open: tuple[PurgeOfLateral, ...]
    pipe_volumes: float
    shuts_others: bool
    past_the_curve: bool

    @property
    def pumped_gal(self) -> float:
        """Return what leaves the pump tank in all, laterals without flow left out."""
        return sum(one.pumped_gal or 0.0 for one in self.laterals)

    @property
    def seconds(self) -> float:
        """Return how long the pump runs in all, laterals without flow left out."""
        return sum(one.seconds or 0.0 for one in self.laterals)


@dataclass(frozen=True, slots=True)
class PurgeWater:
    """Water of a purge against what the pump tank gives; ``hose_min`` None without a hose."""

    needed_gal: float
    in_tank_gal: float
    missing_gal: float
    hose_min: float | None


def purge_plan(
    network: Network,
    *,
    pipe_volumes: float = PURGE_PIPE_VOLUMES[1],
    shuts_others: bool = True,
) -> PurgePlan:
    """Return flow, speed, time and water of purging each lateral of a network in turn.

    Parameters
    ----------
    network
        The field; lift counted from low water in the pump tank is the cautious choice.
    pipe_volumes
        How often the lateral's volume is turned over; common practice is 1.5 to 2. [-]
    shuts_others
        Whether the other laterals' valves are shut meanwhile; those without a valve stay open.

    Returns
    -------
    PurgePlan
        One row a lateral, and the rows with all ends open at once.

    Raises
    ------
    RangeError
        If the volumes are not above zero.

    References
    ----------
    Flow: `solve_network`. Scouring speed 2 ft/s: `SCOUR_FT_S`. Volumes: common practice, no source.
    Time is volume over the flow at the end, the least flow in the lateral, so it errs to the long
    side.
    """
    need_above_zero(pipe_volumes=pipe_volumes)
    own = np.eye(len(network.laterals), dtype=bool)
    as_set = np.array([one.open_share for one in network.laterals])
    shut = np.array([one.has_valve and shuts_others for one in network.laterals])
    in_turn = solve_network(
        network,
        States(open_share=np.where(own, 1.0, np.where(shut, 0.0, as_set)), ends_open=own),
    )
    together = solve_network(
        network,
        States(open_share=np.ones((1, len(as_set))), ends_open=np.ones((1, len(as_set)), bool)),
    )
    return PurgePlan(
        _rows(network, in_turn, pipe_volumes),
        _rows(network, together, pipe_volumes),
        pipe_volumes,
        shuts_others,
        bool(np.max(in_turn.pump_gpm) > network.supply.pump.last_flow_gpm),
    )


def purge_water(
    plan: PurgePlan,
    level_in: float,
    off_in: float,
    gal_per_in: float,
    hose_gpm: float | None = None,
) -> PurgeWater:
    """Return whether the pump tank holds the water of a purge, and what must be added.

    Parameters
    ----------
    plan
        The purge.
    level_in
        Depth of the water in the pump tank now. [in]
    off_in
        Depth at which the pump-off float, or the redundant off, stops the pump. [in]
    gal_per_in
        Volume of one inch of depth. [US gal/in]
    hose_gpm
        What a hose on site gives; None = there is none. [US gal/min]

    Returns
    -------
    PurgeWater
        Gallons needed, held, missing, and minutes of hose.

    Raises
    ------
    RangeError
        If a depth is negative, or the volume or the hose's flow not above zero.

    References
    ----------
    Level over pump-off × gallons per inch. What runs back from the pipe is not counted on.
    """
    need_zero_or_more(level_in=level_in, off_in=off_in)
    need_above_zero(gal_per_in=gal_per_in)
    held = max(level_in - off_in, 0.0) * gal_per_in
    missing = max(plan.pumped_gal - held, 0.0)
    if hose_gpm is not None:
        need_above_zero(hose_gpm=hose_gpm)
    return PurgeWater(
        plan.pumped_gal, held, missing, None if hose_gpm is None else missing / hose_gpm
    )


def _rows(network: Network, flow: NetworkFlow, pipe_volumes: float) -> tuple[PurgeOfLateral, ...]:
    """Return one row a lateral; row i of a plan in turn is state i."""
    rows = []
    for i, lateral in enumerate(network.laterals):
        state = min(i, len(flow.pump_gpm) - 1)
        end_gpm, pump_gpm = float(flow.end_gpm[state, i]), float(flow.pump_gpm[state])
        scour_gpm = scour_flow_gpm(lateral.pipe_in)
        pipe_gal = lateral.length_ft * pipe_gal_per_ft(lateral.pipe_in)
        seconds = pipe_volumes * pipe_gal / end_gpm * S_PER_MIN if end_gpm > 1e-3 else None
        rows.append(
            PurgeOfLateral(
                label=lateral.label,
                end_gpm=end_gpm,
                pump_gpm=pump_gpm,
                end_ft_s=float(speed_ft_s(end_gpm, lateral.pipe_in)),
                scour_gpm=scour_gpm,
                is_scoured=speed_ft_s(end_gpm, lateral.pipe_in) >= SCOUR_FT_S,
                pipe_gal=pipe_gal,
                seconds=seconds,
                pumped_gal=None if seconds is None else pump_gpm * seconds / S_PER_MIN,
            )
        )
    return tuple(rows)
