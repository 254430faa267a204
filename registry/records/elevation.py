"""An elevation with its vertical datum; it has no order, since datums may differ."""

from dataclasses import dataclass
from functools import lru_cache

NAVD88 = "NAVD88"
NGVD29 = "NGVD29"
UNKNOWN_DATUM = "unknown"

_SPELLINGS = {
    "NAVD88": NAVD88,
    "NAVD1988": NAVD88,
    "NORTHAMERICANVERTICALDATUM1988": NAVD88,
    "NGVD29": NGVD29,
    "NGVD1929": NGVD29,
    "NATIONALGEODETICVERTICALDATUM1929": NGVD29,
}


@lru_cache(maxsize=256)  # a layer repeats few words many times
def datum_named(text: str | None) -> str:
    """Return the datum that a word means; others are kept as given, no word is "unknown"."""
    plain = "".join(c for c in (text or "").upper() if c.isalnum())
    if plain in {"", "NULL", "NP", "9999", "UNKNOWN", "NONE"}:
        return UNKNOWN_DATUM
    return _SPELLINGS.get(plain, (text or "").strip())


@dataclass(frozen=True, slots=True)
class Elevation:
    """A height above a vertical datum; it has no order: compare through ``registry.flood``."""

    value_ft: float
    datum: str

    def __post_init__(self) -> None:
        """Bring the datum's spelling into one form."""
        object.__setattr__(self, "datum", datum_named(self.datum))
