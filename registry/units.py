"""Every conversion factor; units change at the edges only, through these names."""

M_PER_FT = 0.3048
"""International foot, exact (1959 agreement)."""
FT_PER_M = 1 / M_PER_FT
M_PER_FTUS = 1200 / 3937
"""US survey foot, exact by definition; State Plane NAD 83 coordinates are in it."""
M_PER_MI = 1609.344
IN_PER_FT = 12.0
GAL_PER_FT3 = 1728 / 231
"""US gallon = 231 cubic inches, exact; 7.480519 gal per cubic foot."""
IN3_PER_GAL = 231.0
GPM_PER_FT3_S = GAL_PER_FT3 * 60
FT_WATER_PER_PSI = 2.3067
"""Feet of water per psi, as the trade's tables print it."""
GRAVITY_FT_S2 = 32.174
L_PER_GAL = 3.785411784
S_PER_MIN = 60
S_PER_H = 3600
MIN_PER_H = 60
MIN_PER_DAY = 24 * 60
LB_PER_KG = 1 / 0.45359237
"""International pound, exact (1959 agreement)."""
KG_PER_T = 1000.0
LB_PER_SHORT_TON = 2000.0
FT_PER_PACE = 2.5
"""Length of one pace; common practice, no source."""
EARTH_RADIUS_M = 6_371_008.8
"""Mean radius of GRS 80, for great-circle lengths."""


def ft_from_m(length_m: float) -> float:
    """Return feet from metres."""
    return length_m / M_PER_FT


def m_from_ft(length_ft: float) -> float:
    """Return metres from feet."""
    return length_ft * M_PER_FT
