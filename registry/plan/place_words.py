"""Places in the words of a road engine, "place 3 (-140.00000, 45.00000)", as people call them."""

import re
from collections.abc import Mapping, Sequence

from registry.records.places import LonLat

NUMBERED = re.compile(r"place (\d+) \((-?[\d.]+), (-?[\d.]+)\)")


def called(
    said: Sequence[str], places: Sequence[LonLat], names: Mapping[LonLat, Sequence[str]]
) -> tuple[str, ...]:
    """Return sentences of a road engine in which places have their names.

    Parameters
    ----------
    said
        The sentences; they count places from 1.
    places
        The places that the engine was asked for.
    names
        What stands at a place; one without a name keeps its number and position.
    """

    def name(found: re.Match[str]) -> str:
        number = int(found[1]) - 1
        known = names.get(places[number], ()) if number < len(places) else ()
        return ", ".join(known) or found[0]

    named = (NUMBERED.sub(name, one) for one in said)
    return tuple(one[:1].upper() + one[1:] for one in named)
