"""The few colours and lines of every picture, on pages and in files; style sheets use the same."""

from dataclasses import dataclass

PAPER = "#fbf9f4"
INK = "#1c2526"
"""Lines and words; 14.9:1 on paper."""
SOFT = "#4a5153"
"""Secondary words; 7.7:1 on paper, so they hold on the gate sheet too."""
WATER = "#17547b"
"""The one water blue; 7.7:1 on paper."""
RUST = "#7a2413"
"""What is wrong, beside a shape or a word that says so too; 9.4:1 on paper."""
EDGE = "#6b655a"
"""Edges that must be seen, 5.5:1 on paper."""
FAINT = "#c9c3b6"
"""Grid lines: they may fade without loss."""
SHADE = "#e9e4d7"
"""Fields behind other things."""

PEN = 2.2
"""Width of a route's line. [px]"""


@dataclass(frozen=True, slots=True)
class Hand:
    """How one route is drawn; four hands differ in dash and filling, so colour is not needed.

    ``dash`` is in pixels for a line of width ``PEN``; ``bar`` fills what stands on the line.
    """

    dash: str | None
    cap: str
    ink: str
    bar: str


HANDS = (
    Hand(None, "butt", INK, INK),
    Hand("8 4", "butt", INK, PAPER),
    Hand("0.1 4.4", "round", WATER, WATER),
    Hand("10 3.5 0.1 3.5", "round", WATER, PAPER),
)
