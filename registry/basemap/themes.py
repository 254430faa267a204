"""What the base map shows: which features of a file, at which zooms, as what kind."""

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

MAJOR_ROADS = (
    "motorway",
    "motorway_link",
    "trunk",
    "trunk_link",
    "primary",
    "primary_link",
    "secondary",
    "secondary_link",
)
MINOR_ROADS = ("tertiary", "tertiary_link", "unclassified", "residential", "living_street", "road")
LANES = ("service", "track")
RIVERS = ("river", "stream", "canal")
LAND = MappingProxyType({"forest": "wood", "wood": "wood", "scrub": "wood", "wetland": "wetland"})
WATER = frozenset({"water", "reservoir", "basin", "riverbank", "bay"})


@dataclass(frozen=True, slots=True)
class Theme:
    """One layer of the base map, kept in one file.

    ``layer`` is the layer of the source in which ``where`` looks; ``columns`` are those whose first
    filled one says the feature's kind, translated by ``kinds`` (a word that isn't in a non-empty
    ``kinds`` is left out).
    """

    name: str
    layer: str
    columns: tuple[str, ...]
    where: str
    zooms: tuple[int, int]
    kinds: Mapping[str, str] = MappingProxyType({})
    named: bool = True


def _one_of(column: str, words: tuple[str, ...]) -> str:
    return f"{column} IN ({', '.join(repr(word) for word in words)})"


THEMES = (
    Theme("roads_major", "lines", ("highway",), _one_of("highway", MAJOR_ROADS), (6, 11)),
    Theme(
        "roads",
        "lines",
        ("highway",),
        _one_of("highway", MAJOR_ROADS + MINOR_ROADS + LANES),
        (12, 14),
    ),
    Theme("waterways", "lines", ("waterway",), _one_of("waterway", RIVERS), (10, 14)),
    Theme(
        "water",
        "multipolygons",
        ("natural", "landuse", "other_tags"),
        "natural IN ('water', 'bay') OR landuse IN ('reservoir', 'basin') "
        'OR other_tags LIKE \'%"waterway"=>"riverbank"%\'',
        (6, 14),
        MappingProxyType(dict.fromkeys(WATER, "water")),
    ),
    Theme(
        "landcover",
        "multipolygons",
        ("natural", "landuse"),
        "natural IN ('wood', 'scrub', 'wetland') OR landuse = 'forest'",
        (8, 14),
        LAND,
        named=False,
    ),
    Theme(
        "buildings", "multipolygons", ("building",), "building IS NOT NULL", (13, 14), named=False
    ),
    Theme(
        "places",
        "points",
        ("place",),
        _one_of("place", ("city", "town", "village", "hamlet", "suburb", "locality")),
        (6, 14),
    ),
)
"""In the order in which they are joined in a tile; a map draws them in an order of its own."""
