"""Values of common practice: trade rules with no publication behind them.

Each is a default that a permit, a design or a user may change, and each is marked "common practice,
no source" wherever it is shown. Local code and licensed practice come first.
"""

TANK_FIRST_SHARE = 2 / 3
"""First compartment's share of a two-compartment tank: the split is 2 to 1."""

SAND_BED_IN = 24.0
"""Depth of the sand in a sand filter bed. [in]"""

PEA_GRAVEL_BELOW_IN = 6.0
"""Pea gravel under the laterals. [in]"""

PEA_GRAVEL_ABOVE_IN = (2.0, 3.0)
"""Pea gravel over the laterals, from and to. [in]"""

ORIFICE_IN = 1 / 8
"""Orifice of a sand filter's laterals. [in]"""

ORIFICE_SPACING_FT = 2.0
"""Distance from orifice to orifice on sand: 24 in. [ft]"""

PURGE_S = (10.0, 15.0)
"""Full flow through one lateral's open end when it is purged, from and to. [s]"""

LATERALS_PURGED_AT_ONCE = 1
"""Laterals are purged one at a time, so that the whole flow scours each."""

PURGE_PIPE_VOLUMES = (1.5, 2.0)
"""Water to clear a lateral, in volumes of its pipe, from and to. [-]"""

COUNTS_PER_START = 1
"""One pump start advances the dose counter by one."""

FLOWS_AGREE_SHARE = 0.10
"""Daily flow by counter and by run-time meter should agree within this share."""

RATE_CHANGE_SHARE = 0.15
"""A drawdown rate that moved by more than this since the last test is looked into."""

HIGH_USE_SHARE = 0.70
"""Average flow above this share of the design flow is flagged; above all of it is an alarm."""

BALL_VALVE_SHUT_DEG = 90.0
"""Angle between a ball valve's handle and the pipe when it is shut: a handle across is shut."""


def ball_valve_open_share(handle_deg: float) -> float:
    """Return how far a ball valve is turned open, from where its handle points.

    Parameters
    ----------
    handle_deg
        Angle between handle and pipe: 0 along the pipe, 90 across it; any turn is folded into
        that quarter. [deg]

    Returns
    -------
    float
        1 with the handle along the pipe (open), 0 across it (shut). The share of the turn, not of
        the flow.

    References
    ----------
    Common practice, no source: a ball valve's handle across the pipe means shut.
    """
    folded = abs(handle_deg) % 180.0
    return 1.0 - min(folded, 180.0 - folded) / BALL_VALVE_SHUT_DEG


def pea_gravel_depth_in(pipe_outside_in: float) -> tuple[float, float]:
    """Return the least and greatest depth of the pea gravel layer that holds the laterals.

    Parameters
    ----------
    pipe_outside_in
        Outside diameter of the laterals. [in]

    Returns
    -------
    tuple of float
        Gravel below + pipe + gravel above, from and to. [in]

    References
    ----------
    Common practice, no source: 6 in below the laterals, 2 to 3 in above.
    """
    least, most = PEA_GRAVEL_ABOVE_IN
    below = PEA_GRAVEL_BELOW_IN + pipe_outside_in
    return below + least, below + most
