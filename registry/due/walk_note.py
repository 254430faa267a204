"""How far it is to walk at a site, where its access note says so."""

import re

from registry.units import FT_PER_M, FT_PER_PACE

FT_PER_UNIT = {
    "ft": 1.0,
    "feet": 1.0,
    "yd": 3.0,
    "yards": 3.0,
    "m": FT_PER_M,
    "metres": FT_PER_M,
    "meters": FT_PER_M,
    "paces": FT_PER_PACE,
}
LENGTH = re.compile(rf"(\d[\d,]*(?:\.\d+)?) ?({'|'.join(FT_PER_UNIT)})\b", re.IGNORECASE)
LONGEST_FT = 10_000.0
"""A longer walk is taken for a slip of the pen."""


def walk_ft_in(note: str) -> float | None:
    """Return the walk that a note names, in feet: the first length in a sentence with “walk”.

    None where no sentence names one, as in "Turn-around at the barn".
    """
    for sentence in re.split(r"[.;!?](?:\s|$)", note):
        if "walk" not in sentence.lower():
            continue
        found = LENGTH.search(sentence)
        if found:
            walk_ft = float(found[1].replace(",", "")) * FT_PER_UNIT[found[2].lower()]
            return walk_ft if walk_ft <= LONGEST_FT else None
    return None
