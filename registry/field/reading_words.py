"""What is said of a reading, as data: the words of every rule, and what a rule answers."""

import math
from dataclasses import dataclass
from enum import StrEnum

KEEP = ("read twice, it stands",)
"""What can be answered to an unlikely value."""

ROLLED, REPLACED, MISREAD = "rolled over", "replaced", "the last one was misread"
WENT_BACK = (ROLLED, REPLACED, MISREAD)
"""What can be answered where a counter reads less than the last time; common practice."""

WORDS = {
    "no number": "“{text}” is no number. The {kind} needs one{unit_in}, or a word why there is "
    "none.",
    "no choice": "“{text}” is none of the answers. Choose one of: {choices}.",
    "not whole": "{value} is no whole number, and a {kind} counts whole ones. Read it again.",
    "impossible": "{value} cannot be: the {kind} lies between {low} and {high}{unit_in}. Read it "
    "again.",
    "went back": "It reads {value} and read {last} on {day}. Rolled over, replaced, or was the "
    "last one misread?",
    "unit": "{value} looks like {other}: that would be {converted}{unit_in}.",
    "unlikely": "{value} is unusual: most lie between {low} and {high}{unit_in}. Read it again.",
    "same": "The same as on {day}, to the digit. Read it, don't copy it.",
    "change": "{percent} % {way} than on {day} ({last}). That can mean {cause}.",
    "two ways": "Two ways to the same figure differ by {percent} %: {a_words} gives {a}, {b_words} "
    "{b}{unit_in}. They should agree within {limit} %. Read both again.",
}
"""Why something is asked; the names in braces are filled in."""


class Level(StrEnum):
    """Whether a reading may be kept: refused, or kept with an answer."""

    BLOCKED = "blocked"
    ASKS = "asks"


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a rule says of a reading: why in words, and the answers that let it be kept."""

    level: Level
    rule: str
    words: str
    choices: tuple[str, ...] = ()


def plain(value: float, decimals: int = 3) -> str:
    """Return a number with no more digits than it needs."""
    said = f"{value:.{decimals}f}"
    return said.rstrip("0").rstrip(".") if "." in said else said


def unit_in(unit: str) -> str:
    """Return the unit as it follows a number, with its space."""
    return f" {unit}" if unit else ""


def whole_percent(share: float) -> str:
    """Return a share as whole per cent without its sign; a half goes up, as in JavaScript."""
    return str(math.floor(100 * abs(share) + 0.5))
