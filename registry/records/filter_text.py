"""A filter as named texts, as an address, a saved view or a command line holds it, and back."""

import re
from collections.abc import Iterable, Mapping

from registry.errors import RangeError
from registry.records.due_rows import NO_STATUS, AgreementState, DueFilter
from registry.records.systems import SystemKind

NOT_ON_FILE = "not on file"
"""The text that asks for permits without a status."""
ZONES = {"in": True, "out": False}
BELOW = {"yes": True, "no": False}
AGREEMENTS = {"in-force": AgreementState.IN_FORCE, "lapsed": AgreementState.LAPSED,
              "none": AgreementState.NONE}  # fmt: skip
NAMES = ("late", "task", "kind", "zone", "below", "place", "town", "permit", "agreement", "serious")
"""Every name that a filter has in an address, in the order of the page."""
LONGEST = 200
"""No name on file is longer. [letters]"""


def filter_of(asked: Mapping[str, str]) -> DueFilter:
    """Return the filter that named texts ask for; whatever is wrong is said at once.

    ``zone`` is ``in``, ``out`` or a published flood zone; ``late`` is a number of days or ``all``.

    Raises
    ------
    RangeError
        If a text is not one that its filter takes.
    """
    text = {name: asked.get(name, "").strip() for name in NAMES}
    late = text["late"] or "0"
    wrong = [said for name, known, said in _LISTED if text[name] not in {"", *known}]
    if late != "all" and _whole(late) is None:
        wrong.insert(0, "Days overdue is a whole number, or “all”.")
    if text["kind"] and text["kind"] not in set(SystemKind):
        wrong.append(f"There is no system type “{text['kind'][:30]}”.")
    if text["zone"] not in {"", *ZONES} and not _FLOOD_ZONE.fullmatch(text["zone"]):
        wrong.append("Flood hazard area is in, out or a published zone in capitals, such as AE.")
    if text["place"] and _whole(text["place"]) is None:
        wrong.append("Choose a jurisdiction from the list.")
    if any(len(one) > LONGEST or "\x00" in one for one in text.values()):
        wrong.append(f"A filter has at most {LONGEST} letters.")
    if wrong:
        raise RangeError(" ".join(wrong))
    zone, permit = text["zone"], text["permit"]
    return DueFilter(
        late_days=_whole(late),
        task=text["task"],
        kinds=(text["kind"],) if text["kind"] else (),
        in_hazard_area=ZONES.get(zone),
        flood_zone="" if zone in ZONES else zone,
        below_bfe=BELOW.get(text["below"]),
        jurisdiction_id=_whole(text["place"]),
        town=text["town"],
        permit_status=(NO_STATUS if permit == NOT_ON_FILE else permit) if permit else None,
        agreement=AGREEMENTS.get(text["agreement"]),
        serious_open=bool(text["serious"]),
    )


def texts_of(which: DueFilter) -> dict[str, str]:
    """Return the named texts of a filter; what asks for nothing is left out."""
    hazard = {True: "in", False: "out", None: which.flood_zone}[which.in_hazard_area]
    late = "all" if which.late_days is None else str(which.late_days)
    told = {
        "late": "" if late == "0" else late,
        "task": which.task,
        "kind": which.kinds[0] if which.kinds else "",
        "zone": hazard,
        "below": {True: "yes", False: "no", None: ""}[which.below_bfe],
        "place": "" if which.jurisdiction_id is None else str(which.jurisdiction_id),
        "town": which.town,
        "permit": NOT_ON_FILE if which.permit_status == NO_STATUS else which.permit_status or "",
        "agreement": next((k for k, v in AGREEMENTS.items() if v is which.agreement), ""),
        "serious": "open" if which.serious_open else "",
    }
    return {name: text for name, text in told.items() if text}


_FLOOD_ZONE = re.compile("[A-Z0-9][A-Z0-9 .,/&-]{0,59}")
_LISTED: tuple[tuple[str, Iterable[str], str], ...] = (
    ("below", BELOW, "Below the base flood elevation is yes, no or left empty."),
    ("agreement", AGREEMENTS, "A service agreement is in-force, lapsed, none or left empty."),
    ("serious", ("open",), "A serious finding is open, or left empty."),
)


def _whole(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) < 16 else None
