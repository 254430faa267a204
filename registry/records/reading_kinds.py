"""Kinds of readings: what is read, in which unit, where, and what raises a question."""

from dataclasses import dataclass

NUMBER, CHOICE = "number", "choice"


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingKind:
    """One kind of reading; a firm can change each in its rules file.

    ``input`` is "number", or "choice" where one of ``choices`` is taken (a choice that is a number
    is kept as one). ``possible`` holds the least and greatest value that can be, ``usual`` those
    that raise no question, in ``unit``. ``at`` are the kinds of components at which it is read,
    each of them; empty = once a system. ``counts_up``: a counter or a meter, which only adds up.
    ``change_share``: a change by more than this share since the last time is asked about, ``down``
    and ``up`` say what it may mean. ``may_repeat``: the same value twice is natural.
    ``comes_first``: it is read before anything runs, or it says something else.
    ``is_optional``: nothing is asked where it was not read. ``reference`` is the point that a depth
    is measured from. ``zero_word`` says 0 in a word, such as "dry", so that one tap writes it at
    every part.
    """

    code: str
    unit: str = ""
    input: str = NUMBER
    choices: tuple[str, ...] = ()
    possible: tuple[float, float] | None = None
    usual: tuple[float, float] | None = None
    at: tuple[str, ...] = ()
    whole: bool = False
    counts_up: bool = False
    may_repeat: bool = False
    comes_first: bool = False
    is_optional: bool = False
    change_share: float | None = None
    down: str = ""
    up: str = ""
    reference: str = ""
    zero_word: str = ""
    source: str = ""
