"""Flood zones in plain words; the letters of the map stay beside them."""

_ZONES = {
    "A": "1 % chance of flood each year; no base flood elevation worked out",
    "AE": "1 % chance of flood each year; base flood elevation known",
    "AH": "1 % chance each year of standing water 1 to 3 ft deep",
    "AO": "1 % chance each year of sheet flow 1 to 3 ft deep; a depth is given, not an elevation",
    "AR": "1 % chance of flood each year while protection is being restored",
    "A99": "1 % chance of flood each year; protection is being built",
    "V": "1 % chance each year of coastal flood with waves; no base flood elevation worked out",
    "VE": "1 % chance each year of coastal flood with waves; base flood elevation known",
    "B": "moderate chance of flood: between 1 % and 0.2 % a year",
    "C": "lowest chance of flood: under 0.2 % a year",
    "X": "outside the 1 % a year flood",
    "D": "flood possible, but not studied",
    "OPEN WATER": "open water on the map",
    "AREA NOT INCLUDED": "left out of the flood map",
}
"""FEMA's zone definitions in our words, after public restatements; not checked in the original."""

_SUBTYPES = (
    ("REDUCED FLOOD", "risk lowered by a levee"),
    ("UNDETERMINED", "flood risk beside a levee not determined"),
    ("LEVEE", "flood risk because of a levee"),
    ("FLOODWAY", "in the floodway, the ground kept free for the flood"),
    ("ENCROACHMENT", "ground kept free for the flood by state or community"),
    ("DEPTH LESS THAN 1 F", "water under 1 ft deep"),
    ("DRAINAGE AREA LESS THAN 1", "drainage area under 1 square mile"),
    ("FUTURE", "as the land will be built on later"),
    ("0.2", "between 1 % and 0.2 % a year"),
    ("MINIMAL", "lowest chance of flood: under 0.2 % a year"),
    ("COASTAL", "on the coastal flood plain"),
    ("CONTAINED", "flood held in a channel or structure"),
)
"""Part of a subtype's wording → plain words; wordings vary, so they match loosely, first wins."""


def zone_words(zone: str, subtype: str = "") -> str:
    """Return what a flood zone and its subtype mean; unknown ones keep the map's own word."""
    letters = " ".join(zone.upper().split())
    if not letters:
        return "no flood map covers this place"
    meaning = _ZONES.get(letters) or _numbered(letters)
    if meaning is None:
        return f"zone {zone.strip()}: the map's own word, not one we know"
    finer = _subtype_words(subtype)
    return f"zone {letters}: {meaning}" + (f"; {finer}" if finer else "")


def _numbered(letters: str) -> str | None:
    """Return the meaning of the older numbered zones A1 to A30 and V1 to V30."""
    if letters[:1] in {"A", "V"} and letters[1:].isdigit() and 1 <= int(letters[1:]) <= 30:
        return _ZONES[letters[0] + "E"]
    return None


def _subtype_words(subtype: str) -> str:
    wording = " ".join(subtype.upper().split())
    if wording in {"", "<NULL>", "-9999", "NONE"}:
        return ""
    for part, meaning in _SUBTYPES:
        if part in wording:
            return meaning
    return f"{subtype.strip()} (the map's own words)"
