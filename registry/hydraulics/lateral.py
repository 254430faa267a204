"""Flow along a lateral: heads and flows of every hole, marched from the far end."""

from dataclasses import dataclass

import numpy as np

from registry.errors import RangeError
from registry.hydraulics.friction import C_NEW_PLASTIC, friction_loss_ft
from registry.hydraulics.orifice import FREE_DISCHARGE, orifice_flow_gpm
from registry.hydraulics.practice import ORIFICE_IN, ORIFICE_SPACING_FT
from registry.hydraulics.ranges import FloatArray, Numbers, need_above_zero
from registry.hydraulics.squirt import LATERAL_FLOW_SHARE

HOLES_TRIED = 400
"""Holes up to which `most_holes` looks; our bound, more than any printed table holds."""


@dataclass(frozen=True, slots=True)
class LateralFlow:
    """What goes through one lateral, or through each of (n,) laterals.

    ``flow_gpm``, ``inlet_head_ft`` (at the hole nearest the inlet) and ``variation_share`` (flow of
    the nearest hole over that of the far one, less 1) have the shape of the input, () for one
    lateral. ``hole_head_ft`` and ``hole_flow_gpm`` have one more axis: the far hole first, NaN
    where a lateral has fewer holes than the longest.
    """

    flow_gpm: FloatArray
    inlet_head_ft: FloatArray
    variation_share: FloatArray
    hole_head_ft: FloatArray
    hole_flow_gpm: FloatArray


def solve_laterals(
    holes: Numbers,
    pipe_in: Numbers,
    far_head_ft: Numbers,
    *,
    spacing_ft: Numbers = ORIFICE_SPACING_FT,
    hole_in: Numbers = ORIFICE_IN,
    c: Numbers = C_NEW_PLASTIC,
    discharge: Numbers = FREE_DISCHARGE,
) -> LateralFlow:
    """Return the flow of level, end-fed laterals from the head at their far holes.

    The march starts at the far hole: its head gives its flow, that flow's friction over one spacing
    gives the head at the next hole, and so on to the hole nearest the inlet. Many laterals are
    solved at once; arguments are broadcast against each other.

    Parameters
    ----------
    holes
        Holes in one lateral; whole numbers, at least 1.
    pipe_in
        Inside diameter of the lateral. [in]
    far_head_ft
        Head at the far hole, measured as squirt height. [ft]
    spacing_ft
        Distance from hole to hole. [ft]
    hole_in
        Diameter of the holes. [in]
    c
        Hazen-Williams roughness. [-]
    discharge
        Discharge coefficient of the holes. [-]

    Returns
    -------
    LateralFlow
        Flow, head at the inlet's hole, evenness, and every hole's head and flow.

    Raises
    ------
    RangeError
        If a figure is not above zero or the holes are not a whole number.

    References
    ----------
    Method: the stepwise calculation of pressure distribution practice, from memory (Otis 1981).
    Tested against the hole counts of the University of Minnesota's pressure distribution form.
    """
    need_above_zero(
        holes=holes,
        pipe_in=pipe_in,
        far_head_ft=far_head_ft,
        spacing_ft=spacing_ft,
        hole_in=hole_in,
    )
    if np.any(np.asarray(holes) % 1):
        raise RangeError("holes is not a whole number: give the number of holes in one lateral")
    count, pipe, head, step, hole, rough, free = np.broadcast_arrays(
        *(np.asarray(v, float) for v in (holes, pipe_in, far_head_ft, spacing_ft, hole_in, c)),
        np.asarray(discharge, float),
    )
    longest = int(count.max(initial=1))
    heads = np.full((*count.shape, longest), np.nan)
    flows = np.full_like(heads, np.nan)
    total = np.zeros(count.shape)
    for k in range(longest):
        is_there = count > k
        if k:
            head = np.where(is_there, head + friction_loss_ft(total, pipe, step, rough), head)
        one = orifice_flow_gpm(head, hole, free)
        heads[..., k] = np.where(is_there, head, np.nan)
        flows[..., k] = np.where(is_there, one, np.nan)
        total = np.where(is_there, total + one, total)
    variation = np.nanmax(flows, axis=-1) / flows[..., 0] - 1
    return LateralFlow(total, np.asarray(head), np.asarray(variation), heads, flows)


def most_holes(
    pipe_in: float,
    far_head_ft: float,
    *,
    spacing_ft: float = ORIFICE_SPACING_FT,
    hole_in: float = ORIFICE_IN,
    flow_share: float = LATERAL_FLOW_SHARE,
) -> int:
    """Return the greatest number of holes for which an end-fed lateral is still even.

    A lateral fed at its middle may have twice as many.

    Parameters
    ----------
    pipe_in
        Inside diameter of the lateral. [in]
    far_head_ft
        Head at the far hole. [ft]
    spacing_ft
        Distance from hole to hole. [ft]
    hole_in
        Diameter of the holes. [in]
    flow_share
        Greatest difference of flow between the holes, as a share of the least. [-]

    Returns
    -------
    int
        Number of holes, counted up to 400.

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    Twice for a centre feed: University of Minnesota, "Pressure Distribution Design Worksheet".
    """
    need_above_zero(flow_share=flow_share)
    lateral = solve_laterals(
        HOLES_TRIED, pipe_in, far_head_ft, spacing_ft=spacing_ft, hole_in=hole_in
    )
    flows = lateral.hole_flow_gpm
    return int(np.count_nonzero(flows / flows[0] - 1 <= flow_share))


def hole_count(lateral_ft: float, spacing_ft: float = ORIFICE_SPACING_FT) -> int:
    """Return the number of holes that a lateral has room for, one at each end of every space.

    Parameters
    ----------
    lateral_ft
        Length of the perforated part. [ft]
    spacing_ft
        Distance from hole to hole. [ft]

    Returns
    -------
    int
        Whole spaces + 1.

    Raises
    ------
    RangeError
        If a figure is not above zero.

    References
    ----------
    University of Minnesota, "Pressure Distribution Design Worksheet": 61 ft at 3 ft is 20 spaces
    and 21 holes.
    """
    need_above_zero(lateral_ft=lateral_ft, spacing_ft=spacing_ft)
    return int(lateral_ft / spacing_ft + 1e-9) + 1
