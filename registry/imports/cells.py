"""Text of cells: trimmed, and refused where it holds what text must not hold."""

import re
from typing import NamedTuple


class Fault(NamedTuple):
    """What is wrong with a cell, and what to do."""

    wrong: str
    remedy: str


EMPTY_WORDS = frozenset({"", "-", "--", "null", "<null>", "n/a", "na", "nan", "none", "#n/a"})
"""What programs write for "nothing"; taken as an empty cell, except in names."""

_FORMULA = re.compile(r"[=@]|[+\-]\s*[A-Za-z].*[(|!]")
_FORMULA_STARTS = re.compile(r"(?:^|\n)\s*[=@+\-]")
_CONTROL = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u202a-\u202e\u2066-\u2069]")
_LOST = re.compile("[\ufffd\ud800-\udfff]")
_TWICE = re.compile("Ã[\x80-\xbf]|â€|Â[\xa0-\xbf]")
_ANY = re.compile(f"{_CONTROL.pattern}|{_LOST.pattern}|{_TWICE.pattern}")


def trimmed(cells: list[str], *, keep_words: bool = False) -> list[str]:
    """Return cells without blanks around them, "" for what means nothing.

    ``keep_words`` leaves words such as "none" as they are, as a name may be one.
    """
    plain = [unguarded(one.strip()) for one in cells]
    if keep_words:
        return plain
    return ["" if one.lower() in EMPTY_WORDS else one for one in plain]


def unguarded(cell: str) -> str:
    """Return a cell without the apostrophe that spreadsheets, and our own files, set before a sign.

    ``'+1 555 0100`` is the text ``+1 555 0100``. It stays before what would be a formula.
    """
    guarded = cell.startswith(("'+", "'-")) and not _FORMULA.match(cell, 1)
    return cell[1:] if guarded else cell


def faults_in_text(cells: list[str]) -> dict[int, Fault]:
    """Return what is wrong with which cell: control signs, lost letters, formulas.

    A formula in a cell was not worked out when the file was saved, or wants to be worked out where
    the registry's tables are opened later; both are for a person to look at. A sign in front of a
    number or a word is no formula.
    """
    joined = "\n".join(cells)
    suspect = _ANY.search(joined) is not None
    if not suspect and not _FORMULA_STARTS.search(joined):
        return {}
    faults: dict[int, Fault] = {}
    for i, cell in enumerate(cells):
        fault = fault_in(cell)
        if fault:
            faults[i] = fault
    return faults


def fault_in(cell: str) -> Fault | None:
    """Return what is wrong with one cell, None if nothing is."""
    if _FORMULA.match(cell):
        return Fault("it looks like a spreadsheet formula", "Put the value in place of the formula")
    if not _ANY.search(cell):
        return None
    control = _CONTROL.search(cell)
    if control:
        return Fault(
            f"it holds the control sign U+{ord(control[0]):04X}",
            "Take out the sign that cannot be seen",
        )
    if _LOST.search(cell):
        return Fault(
            "it holds bytes that are no letters in the file's encoding, or letters lost before",
            "Write the letters again, or name the encoding with --encoding",
        )
    return Fault(
        "its letters were decoded in a wrong encoding before the file was saved (as in “Ã©”)",
        "Export the file again in UTF-8, or write the letters again",
    )
