"""CQL2 text: what a parameter ``filter`` says, as a condition on a collection's columns.

OGC 21-065r2 (Common Query Language), requirements classes "Basic CQL2" and "Advanced Comparison
Operators", text encoding; the grammar is Annex B of it, from memory. A column stands left, a value
right; functions, arithmetic, places and arrays are not answered, and the refusal says so.
"""

import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import cast

from registry.errors import RangeError
from registry.records.feature_filter import (
    Alike,
    All,
    Always,
    Compared,
    Condition,
    Either,
    Empty,
    Not,
    OneOf,
    Sign,
    Told,
)
from registry.records.features import Column, ColumnKind

LONGEST = 4_000
"""Signs of a filter at most."""
DEEPEST = 30
"""Brackets in brackets at most."""
MOST_WILD = 8
"""Wildcards of a pattern at most: each more lets a database try more ways."""
SIGNS = ("=", "<>", "<", "<=", ">", ">=")
_TOKEN = re.compile(
    r"""\s*(?:
    (?P<text>'(?:[^'\\]|''|\\'|\\(?!'))*')
    |(?P<number>[+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)
    |(?P<quoted>"[^"]*")
    |(?P<name>[^\W\d][\w:.]*)
    |(?P<sign><=|>=|<>|[=<>(),])
    )""",
    re.VERBOSE,
)
_WORDS = {"AND", "OR", "NOT", "LIKE", "BETWEEN", "IN", "IS", "NULL", "TRUE", "FALSE"}


@dataclass(frozen=True, slots=True)
class _Token:
    kind: str
    text: str
    at: int


def condition_in(text: str, columns: Mapping[str, Column]) -> Condition:
    """Return what a filter asks.

    Parameters
    ----------
    text
        CQL2 text.
    columns
        The columns that may be asked about, by name.

    Raises
    ------
    RangeError
        If it cannot be read, names another column, or compares a column with a value of another
        kind; says where.
    """
    if len(text) > LONGEST:
        raise RangeError(f"A filter has {LONGEST:,} signs at most; this one has {len(text):,}.")
    reading = _Reading(_tokens(text), columns)
    found = reading.either()
    reading.end()
    return found


def _tokens(text: str) -> list[_Token]:
    found, at = [], 0
    while text[at:].strip():
        match = _TOKEN.match(text, at)
        if match is None:
            start = at + len(text[at:]) - len(text[at:].lstrip())
            raise RangeError(
                f"The filter cannot be read at sign {start + 1}, “{text[start : start + 12]}”."
            )
        kind = cast("str", match.lastgroup)
        said, start = match[kind], match.start(kind)
        if kind == "name" and said.upper() in _WORDS:
            kind, said = "word", said.upper()
        found.append(_Token(kind, said, start + 1))
        at = match.end()
    return found


class _Reading:
    """Reads tokens from the left, one method for each rule of the grammar."""

    def __init__(self, tokens: list[_Token], columns: Mapping[str, Column]) -> None:
        self._tokens = tokens
        self._columns = columns
        self._at = 0
        self._deep = 0

    def either(self) -> Condition:
        parts = [self._all()]
        while self._take("OR"):
            parts.append(self._all())
        return parts[0] if len(parts) == 1 else Either(tuple(parts))

    def end(self) -> None:
        if self._at < len(self._tokens):
            raise self._wrong("AND, OR or the end")

    def _all(self) -> Condition:
        parts = [self._maybe_not()]
        while self._take("AND"):
            parts.append(self._maybe_not())
        return parts[0] if len(parts) == 1 else All(tuple(parts))

    def _maybe_not(self) -> Condition:
        return Not(self._primary()) if self._take("NOT") else self._primary()

    def _primary(self) -> Condition:
        if self._take("("):
            self._deep += 1
            if self._deep > DEEPEST:
                raise RangeError(f"The filter has more than {DEEPEST} brackets in each other.")
            inner = self.either()
            self._need(")")
            self._deep -= 1
            return inner
        for word in ("TRUE", "FALSE"):
            if self._take(word):
                return Always(word == "TRUE")
        return self._predicate()

    def _predicate(self) -> Condition:
        column = self._column()
        if self._take("IS"):
            negated = self._take("NOT")
            self._need("NULL")
            return Not(Empty(column.name)) if negated else Empty(column.name)
        negated = self._take("NOT")
        for word, rest in self._rests().items():
            if self._take(word):
                return Not(rest(column)) if negated else rest(column)
        token = self._next()
        if negated or token is None or token.text not in SIGNS:
            raise self._wrong("LIKE, BETWEEN or IN" if negated else "a comparison", back=token)
        if column.kind is ColumnKind.YES_NO and token.text not in {"=", "<>"}:
            raise RangeError(f"{column.name} is compared by = or <> only.")
        return Compared(column.name, cast("Sign", token.text), self._value(column))

    def _rests(self) -> Mapping[str, Callable[[Column], Condition]]:
        return {"LIKE": self._alike, "BETWEEN": self._between, "IN": self._one_of}

    def _alike(self, column: Column) -> Condition:
        token = self._next()
        if column.kind is not ColumnKind.TEXT or token is None or token.kind != "text":
            raise RangeError(f"LIKE compares text with a pattern in '…'; see {column.name}.")
        pattern = _unquoted(token.text)
        if pattern.count("%") + pattern.count("_") > MOST_WILD:
            raise RangeError(f"A pattern has {MOST_WILD} wildcards (% and _) at most.")
        return Alike(column.name, pattern)

    def _between(self, column: Column) -> Condition:
        if column.kind not in {ColumnKind.NUMBER, ColumnKind.WHOLE, ColumnKind.DATE}:
            raise RangeError(f"BETWEEN asks for numbers or dates; {column.name} is {column.kind}.")
        low = self._value(column)
        self._need("AND")
        high = self._value(column)
        return All((Compared(column.name, ">=", low), Compared(column.name, "<=", high)))

    def _one_of(self, column: Column) -> Condition:
        self._need("(")
        values = [self._value(column)]
        while self._take(","):
            values.append(self._value(column))
        self._need(")")
        return OneOf(column.name, tuple(values))

    def _column(self) -> Column:
        token = self._next()
        if token is None or token.kind not in {"name", "quoted"}:
            raise self._wrong("the name of a column", back=token)
        if self._sees("("):
            raise RangeError(f"Functions such as {token.text[:40]}(…) are not answered here.")
        name = token.text.strip('"') if token.kind == "quoted" else token.text
        column = self._columns.get(name)
        if column is None:
            raise RangeError(
                f"There is no column “{name[:40]}” to choose features by. "
                f"Known: {', '.join(self._columns)}."
            )
        return column

    def _value(self, column: Column) -> Told:
        token = self._next()
        if token is None or token.kind not in {"text", "number", "word", "name"}:
            raise self._wrong("a value", back=token)
        is_date = token.kind == "name" and token.text.upper() == "DATE"
        if token.kind == "name" and not is_date:
            raise RangeError(
                f"“{token.text[:40]}” stands where a value must: '…', a number, TRUE, FALSE or "
                "DATE('2026-06-15'). Two columns are not compared here."
            )
        if is_date:
            self._need("(")
            token = self._next()
            if token is None or token.kind != "text":
                raise self._wrong("a date in '…'", back=token)
            self._need(")")
        value = _read(column, token, is_date=is_date)
        if value is None:
            raise RangeError(f"{token.text[:40]} is no {column.kind} for {column.name}.")
        return value

    def _sees(self, text: str) -> bool:
        return self._at < len(self._tokens) and self._tokens[self._at].text == text

    def _take(self, word: str) -> bool:
        """Go on if a word or sign is next; a quoted name or a text is none."""
        token = self._tokens[self._at] if self._at < len(self._tokens) else None
        if token is None or token.kind not in {"word", "sign"} or token.text != word:
            return False
        self._at += 1
        return True

    def _next(self) -> _Token | None:
        if self._at >= len(self._tokens):
            return None
        self._at += 1
        return self._tokens[self._at - 1]

    def _need(self, word: str) -> None:
        if not self._take(word):
            raise self._wrong(word)

    def _wrong(self, wanted: str, back: _Token | None = None) -> RangeError:
        here = back or (self._tokens[self._at] if self._at < len(self._tokens) else None)
        where = f"at sign {here.at}, “{here.text[:20]}”" if here else "at its end"
        return RangeError(f"The filter cannot be read {where}: {wanted} is wanted there.")


def _unquoted(text: str) -> str:
    return text[1:-1].replace("''", "'").replace("\\'", "'")


def _read(column: Column, token: _Token, *, is_date: bool) -> Told | None:
    """Return a value of a column's kind, None where the token is of another."""
    match column.kind, token.kind:
        case ColumnKind.TEXT, "text" if not is_date:
            return _unquoted(token.text)
        case ColumnKind.DATE, "text":
            try:
                return date.fromisoformat(_unquoted(token.text))
            except ValueError:
                return None
        case ColumnKind.YES_NO, "word" if token.text in {"TRUE", "FALSE"}:
            return token.text == "TRUE"
        case ((ColumnKind.NUMBER | ColumnKind.WHOLE), "number"):
            number = float(token.text)
            return number if math.isfinite(number) else None
        case _:
            return None
