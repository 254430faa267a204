"""Street addresses taken apart and compared; needs the extra ``addresses``."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field
from importlib.util import find_spec

from registry.errors import ConfigError

NEEDED = ("usaddress", "rapidfuzz")
SHORT = {
    "alley": "aly", "avenue": "ave", "av": "ave", "boulevard": "blvd", "bridge": "brg",
    "circle": "cir", "court": "ct", "cove": "cv", "crossing": "xing", "drive": "dr",
    "extension": "ext", "freeway": "fwy", "heights": "hts", "highway": "hwy", "hill": "hl",
    "hollow": "holw", "junction": "jct", "lane": "ln", "mount": "mt", "mountain": "mtn",
    "parkway": "pkwy", "place": "pl", "point": "pt", "ridge": "rdg", "road": "rd",
    "route": "rte", "saint": "st", "square": "sq", "street": "st", "str": "st",
    "terrace": "ter", "trail": "trl", "turnpike": "tpke", "valley": "vly",
    "north": "n", "south": "s", "east": "e", "west": "w", "northeast": "ne",
    "northwest": "nw", "southeast": "se", "southwest": "sw",
}  # fmt: skip
"""Street words → their short forms, as United States Postal Service Publication 28 (appendices B
and C) lists the common ones; from memory."""
OTHER_UNIT, OTHER_TOWN, OTHER_TYPE = 5.0, 20.0, 12.0
"""Taken off the score where the unit, the town, or the street's type or direction is another; our
estimates."""


@dataclass(frozen=True, slots=True)
class Address:
    """A street address as it is compared; ``number`` "" where there is none, as in a box number.

    ``name`` is the street's own name, ``street`` all of it, with type and direction.
    """

    number: str
    street: str
    name: str = ""
    unit: str = ""
    town: str = ""

    @property
    def house(self) -> tuple[str, str]:
        """The numbers in it: of the house and of the street; another number is another place."""
        return self.number, " ".join(word for word in self.street.split() if word[0].isdigit())


def require_addresses() -> None:
    """Raise ConfigError unless the libraries that take addresses apart are installed."""
    missing = [name for name in NEEDED if find_spec(name) is None]
    if missing:
        raise ConfigError(
            f"Addresses are compared with {' and '.join(NEEDED)}; {' and '.join(missing)} is not "
            "installed. Install them with: pip install 'riserway[addresses]'."
        )


def has_addresses() -> bool:
    """Tell whether the libraries that take addresses apart are installed."""
    return all(find_spec(name) is not None for name in NEEDED)


def taken_apart(text: str, town: str = "") -> Address:
    """Return a street address in parts; a town in ``text`` counts where ``town`` is empty."""
    import usaddress

    parts: dict[str, list[str]] = {"number": [], "street": [], "name": [], "unit": [], "town": []}
    for word, label in usaddress.parse(text):
        kind = _KINDS.get(label)
        if kind is None and label.startswith("StreetName"):
            kind = "street"
        if label == "StreetName":
            parts["name"].append(word)
        if kind is not None:
            parts[kind].append(word.strip(" ,.;#").casefold())
    return Address(
        number="".join(parts["number"]),
        street=plain_address(" ".join(parts["street"])),
        name=plain_address(" ".join(parts["name"])),
        unit="".join(parts["unit"]),
        town=plain_address(town or " ".join(parts["town"])),
    )


def score(one: Address, other: Address) -> float:
    """Return how alike two addresses are, 0 to 100; another number is another place."""
    from rapidfuzz import fuzz

    if not one.number or one.house != other.house or not one.street or not other.street:
        return 0.0
    found: float = fuzz.ratio(one.street, other.street)
    if one.street != other.street and one.name and other.name:
        found = max(found, fuzz.ratio(one.name, other.name) - OTHER_TYPE)
    if one.unit and other.unit and one.unit != other.unit:
        found -= OTHER_UNIT
    if one.town and other.town and one.town != other.town:
        found -= OTHER_TOWN
    return max(0.0, found)


@dataclass
class AddressBook[T]:
    """Things by their addresses, found by what is alike without trying each."""

    things: Iterable[tuple[Address, T]]
    _streets: dict[tuple[str, str], dict[str, list[tuple[Address, T]]]] = field(init=False)

    def __post_init__(self) -> None:
        """Sort the things by house number and street."""
        self._streets = defaultdict(lambda: defaultdict(list))
        for address, thing in self.things:
            self._streets[address.house][address.street].append((address, thing))

    def alike(self, wanted: Address, least: float) -> list[tuple[float, T]]:
        """Return the things whose address scores so much at least, in no order.

        A score comes from the whole street or from its name alone, less what is taken off; both
        are looked up with the least that can still do.
        """
        from rapidfuzz import fuzz, process

        streets = self._streets.get(wanted.house, {})
        known = list(streets)
        names = [streets[street][0][0].name for street in known]
        near = {
            place
            for asked, choices, cutoff in (
                (wanted.street, known, least),
                (wanted.name, names, least + OTHER_TYPE),
            )
            for _, _, place in process.extract(
                asked, choices, scorer=fuzz.ratio, score_cutoff=cutoff, limit=None
            )
        }
        found = [
            (score(wanted, address), thing)
            for place in near
            for address, thing in streets[known[place]]
        ]
        return [one for one in found if one[0] >= least]


_KINDS = {
    "AddressNumberPrefix": "number",
    "AddressNumber": "number",
    "AddressNumberSuffix": "number",
    "OccupancyIdentifier": "unit",
    "PlaceName": "town",
}


def plain_address(text: str) -> str:
    """Return an address in small letters without signs, its common words in their short forms."""
    words = "".join(sign if sign.isalnum() else " " for sign in text.casefold()).split()
    return " ".join(SHORT.get(word, word) for word in words)
