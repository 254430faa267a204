"""The text of a letter: words of one's own with fields in braces, merged for each site."""

import re
from collections.abc import Mapping
from datetime import date

from registry.errors import RangeError
from registry.report.day_text import MONTHS

FIELDS = {
    "date": "the day of the letter",
    "owner": "the owner's name, or “The owner” where it is not on file or not for your sign-in",
    "owner_address": "where the owner gets post; else the address of the site",
    "site": "the site's number",
    "address": "the address of the site",
    "town": "its town",
    "parcel": "its parcel number",
    "overdue": "what is overdue, a line for each task with its day and the rule",
    "sender": "the firm or the authority that writes",
}
"""Field → what stands in its place."""

LONGEST_LETTERS = 5_000

OWN_TEXT = """{date}

{owner}
{owner_address}

Onsite wastewater system at {address}, {town}, parcel {parcel}

By our records this is overdue at your system (our number {site}):

{overdue}

Please have it done soon, or send us the report if it was done meanwhile. A system that is looked \
after in time lasts longer and keeps waste water out of wells and streams. If you have a question, \
or if anything here is wrong, please tell us.

{sender}
"""
"""What a letter says until its sender writes another text."""

_FIELD = re.compile(r"\{(\w+)\}")


def checked(text: str) -> str:
    """Return a text for letters, tidied.

    Raises
    ------
    RangeError
        If it is empty or too long, or has braces that are no known field; all are named.
    """
    tidy = text.replace("\r\n", "\n").strip()
    if not 0 < len(tidy) <= LONGEST_LETTERS:
        raise RangeError(f"Write a text of 1 to {LONGEST_LETTERS:,} letters.")
    known = ", ".join(f"{{{one}}}" for one in FIELDS)
    strange = [one for one in _FIELD.findall(tidy) if one not in FIELDS]
    if strange:
        named = ", ".join(f"{{{one}}}" for one in dict.fromkeys(strange))
        raise RangeError(f"There is no field {named}. Use: {known}.")
    if re.search(r"[{}]", _FIELD.sub("", tidy)):
        raise RangeError(f"A brace stands alone in the text. Braces are for fields only: {known}.")
    return tidy + "\n"


def day_words(on_date: date) -> str:
    """Return ``9 June 2026``."""
    return f"{on_date.day} {MONTHS[on_date.month - 1]} {on_date.year}"


def merged(text: str, fields: Mapping[str, str]) -> str:
    """Return a text with its fields filled in; what a field brings is not looked at again."""
    return _FIELD.sub(lambda found: fields[found[1]], text)
