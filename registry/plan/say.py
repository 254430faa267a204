"""Numbers and names of a day as people say them."""

from collections.abc import Sequence


def listed(words: Sequence[str]) -> str:
    """Return words as a list for people."""
    if len(words) < 2:
        return "".join(words)
    return ", ".join(words[:-1]) + " and " + words[-1]


def minutes(seconds: int) -> str:
    """Return seconds as whole minutes, rounded up."""
    whole = -(-seconds // 60)
    if whole < 120:
        return f"{whole} min"
    return f"{whole // 60} h {whole % 60:02d} min"


def clock(moment_s: int) -> str:
    """Return a moment as hours and minutes."""
    return f"{moment_s // 3600:02d}:{moment_s // 60 % 60:02d}"


def more_or_less(seconds: int) -> str:
    """Return a change as minutes more or less, ``nothing`` below half a minute."""
    if abs(seconds) < 30:
        return "nothing"
    return f"{minutes(abs(seconds))} {'more' if seconds > 0 else 'less'}"
