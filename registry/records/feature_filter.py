"""A condition on the columns of a collection, as a tree: what CQL2 says, without its text."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

type Sign = Literal["=", "<>", "<", "<=", ">", ">="]
type Told = str | float | bool | date
"""What a column is compared with."""


@dataclass(frozen=True, slots=True)
class Compared:
    """A column beside a value; it holds for no feature whose column is empty."""

    column: str
    sign: Sign
    value: Told


@dataclass(frozen=True, slots=True)
class Alike:
    """A text column that is as a pattern: % any signs, _ one sign, themselves after a backslash."""

    column: str
    pattern: str


@dataclass(frozen=True, slots=True)
class OneOf:
    """A column that holds one of several values."""

    column: str
    values: tuple[Told, ...]


@dataclass(frozen=True, slots=True)
class Empty:
    """A column that holds nothing."""

    column: str


@dataclass(frozen=True, slots=True)
class Not:
    """The opposite; of what an empty column leaves open it is as open."""

    part: "Condition"


@dataclass(frozen=True, slots=True)
class All:
    """Each part holds."""

    parts: "tuple[Condition, ...]"


@dataclass(frozen=True, slots=True)
class Either:
    """One part holds at least."""

    parts: "tuple[Condition, ...]"


@dataclass(frozen=True, slots=True)
class Always:
    """Holds for every feature, or for none."""

    holds: bool


type Condition = Compared | Alike | OneOf | Empty | Not | All | Either | Always


def columns_of(condition: Condition) -> frozenset[str]:
    """Return the names of the columns that a condition looks at."""
    match condition:
        case Not(part):
            return columns_of(part)
        case All(parts) | Either(parts):
            return frozenset().union(*(columns_of(one) for one in parts))
        case Always():
            return frozenset()
        case _:
            return frozenset({condition.column})
