"""The stable words for why a visit waits; the sentences beside them are for people."""

from enum import StrEnum


class WhyWord(StrEnum):
    """Why a visit is on no route. Scripts may rely on these words."""

    TO_BE_LOCATED = "to_be_located"
    CLOSED = "closed"
    NOBODY = "nobody_on_duty"
    HELD = "held_elsewhere"
    NEEDS_TWO = "needs_two"
    LICENCE = "licence"
    SKILL = "skill"
    RULED_OUT = "ruled_out"
    UNREACHABLE = "unreachable"
    HOURS = "hours"
    WATER = "water"
    SEPTAGE = "septage"
    DRIVING = "driving"
    DARK = "dark"
    PROMISED = "promised"
    ANOTHER_DAY = "another_day"
    LINKED = "linked"
    NOT_REACHED = "not_reached"
    NO_ROOM = "no_room"
    OTHERS = "others_worth_more"
