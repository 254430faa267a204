"""What every gate sheet warns of, with the figure's source beside it.

Figures whose source was not read by us say so; common practice says so too.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Caution:
    """One caution: what it says, and where its figure or rule stands."""

    code: str
    text: str
    source: str


CAUTIONS = (
    Caution(
        "tank",
        "Never enter a tank, never lean into one, never work alone over an open lid.",
        "Nobody should ever enter: Wisconsin mound management plan form (SPS 383.54); the rest is "
        "common practice",
    ),
    Caution(
        "gas",
        "Tank gas kills, and smell is no warning: the nose fails at about 100 ppm of hydrogen "
        "sulfide. Air with under 19.5 % or over 23.5 % oxygen, or gas over 10 % of its lower "
        "flammable limit, is dangerous.",
        "29 CFR 1910.146, as copied in WAC 296-155-20301; hydrogen sulfide by exposure limit "
        "tables (seen in a copy)",
    ),
    Caution(
        "power",
        "Power off, locked, tagged and tried before a hand touches pump or floats. The alarm has "
        "a circuit of its own and may stay live. Dry hands; never stand in water at a panel.",
        "29 CFR 1910.147 (from memory, recheck); separate alarm circuit: WAC 246-272B-06400",
    ),
    Caution(
        "lids",
        "Stand by every open lid. Every lid goes back on, fastened, safe against children: count "
        "lids and fasteners before you leave.",
        "Openings over 8 in are locked: Wisconsin mound management plan form (SPS 383.54); the "
        "rest is common practice",
    ),
    Caution(
        "dig",
        "Before you dig: have buried power, gas and telephone lines located and marked (in the US: "
        "call 811).",
        "Common practice, no source",
    ),
    Caution(
        "germs",
        "Gloves and eye cover on, cuts covered. Wash your hands before you eat or touch the phone.",
        "Common practice, no source",
    ),
    Caution(
        "road",
        "Never drive into water over a road: turn round. 6 in of moving water knocks a person "
        "down, 12 in floats a small car, 18 to 24 in carries off trucks.",
        "US National Weather Service, flood safety figures",
    ),
    Caution(
        "code",
        "Local code and licensed practice come first. This sheet is an aid, not a design or a "
        "permit.",
        "",
    ),
)
"""Shown on every gate sheet, whatever the tasks; the tasks bring their own besides."""
