"""The colours and letters that every picture is drawn with; the style sheet uses the same."""

from registry.report.ink import EDGE, FAINT, INK, PAPER, RUST, SHADE, SOFT, WATER

__all__ = [
    "EDGE",
    "FAINT",
    "INK",
    "PAPER",
    "RAMP",
    "RUST",
    "SANS",
    "SERIF",
    "SHADE",
    "SOFT",
    "WATER",
    "ramp_colour",
]

SERIF = "Georgia, 'Iowan Old Style', 'Times New Roman', 'DejaVu Serif', serif"
SANS = "'Segoe UI', 'Helvetica Neue', Arial, 'DejaVu Sans', sans-serif"

RAMP = (
    "#6c6d72",
    "#61656f",
    "#565c6d",
    "#4b546c",
    "#3f4c6c",
    "#32436d",
    "#213b6e",
    "#053371",
    "#002b62",
    "#00224e",
)
"""The darker part of the colour ramp cividis, light to dark in even steps of perceived lightness.

J. R. Nuñez, C. R. Anderton, R. S. Renslow, "Optimizing colormaps with consideration for color
vision deficiency to enable accurate interpretation of scientific data", PLoS ONE 13(7), 2018,
e0199239. The values are entries 108, 96, … 0 of the table of 256 that plotting libraries carry.
The lighter part is left out: the arc must be dark against the ring and the paper (3:1 or more).
"""


def ramp_colour(share_passed: float) -> str:
    """Return the colour for a share of the interval passed: 0 lightest, 2 and more darkest."""
    place = min(max(share_passed, 0.0), 2.0) / 2.0
    return RAMP[round(place * (len(RAMP) - 1))]
