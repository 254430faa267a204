"""What a plan can break, told by kind and in a sentence."""

from dataclasses import dataclass
from enum import StrEnum


class BreachKind(StrEnum):
    """What a plan can break."""

    UNKNOWN = "unknown"
    ROUTES = "routes"
    TWICE = "twice"
    REQUIRED = "required"
    HELD = "held"
    RULED_OUT = "ruled out"
    SKILL = "skill"
    PEOPLE = "people"
    WATER = "water"
    SEPTAGE = "septage"
    CAPACITY = "capacity"
    DRIVING = "driving"
    LINK = "link"
    APPOINTED = "appointed"
    UNREACHABLE = "unreachable"
    CLOSED = "closed"
    WINDOW = "window"
    LUNCH = "lunch"
    SHIFT = "shift"
    COST = "cost"


@dataclass(frozen=True, slots=True)
class Breach:
    """One limit that a plan breaks."""

    kind: BreachKind
    text: str
