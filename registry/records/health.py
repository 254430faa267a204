"""How an installation is, as a program that watches it asks: no word of any site or person."""

from dataclasses import dataclass
from enum import StrEnum


class Health(StrEnum):
    """The answer's word, after the draft named in docs/standards.md."""

    PASS = "pass"  # noqa: S105 - a word of the draft, not a password
    WARN = "warn"
    FAIL = "fail"


@dataclass(frozen=True, slots=True)
class StoreHealth:
    """Whether the store answers, and what is odd about it, in a sentence; "" = nothing."""

    health: Health
    says: str = ""
