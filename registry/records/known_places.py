"""Places that sites are located by: parcels and address points of published layers."""

from dataclasses import dataclass
from enum import StrEnum

from registry.records.places import LonLat


class PlaceKind(StrEnum):
    """By what a site is found at a place."""

    PARCEL = "parcel"
    ADDRESS = "address"


@dataclass(frozen=True, slots=True, kw_only=True)
class KnownPlace:
    """A parcel or an address point.

    ``said`` is the number or address as the layer writes it; ``code`` and ``loose`` are a parcel
    number as it is compared, or the house number and "". ``accuracy_m`` None = nobody says. [m]
    """

    kind: PlaceKind
    code: str
    said: str
    place: LonLat
    source: str
    loose: str = ""
    town: str = ""
    accuracy_m: float | None = None

    @property
    def words(self) -> str:
        """What a site's file gives as the source of a position that was found by this place."""
        return f"{self.kind} {self.said}, {self.source}"


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceOffer:
    """A place that a site may be at, with how alike it is (0 to 100) and why that is in doubt."""

    site_id: int
    place: KnownPlace
    score: float
    why: str
    refused: bool = False
