"""Rows of another source's file: which sites they may be, and where they differ from them."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum
from typing import Any


class ForeignState(StrEnum):
    """What became of a row: it waits, a person said which site it is, or it made a new one."""

    OPEN = "open"
    SAME = "same"
    NEW = "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class ForeignSite:
    """A row of another source; ``says`` holds its values, by ``site`` or ``system`` and field.

    Once it is decided ``says`` is a digest only.

    ``key`` is the other source's number. ``site_id`` is the site that it is, once that is decided.
    """

    firm_id: int
    source: str
    key: str
    imported_at: datetime
    file_name: str
    says: Mapping[str, Any]
    state: ForeignState = ForeignState.OPEN
    site_id: int | None = None
    decided_by: str = ""
    decided_at: datetime | None = None
    id: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MatchOffer:
    """A site that a row may be; ``apart_m`` None where one of the two has no position."""

    site_id: int
    same_parcel: bool
    same_address: bool
    apart_m: float | None
    score: float
    foreign_id: int = 0

    @property
    def is_sure(self) -> bool:
        """Whether both parcel and address are the same."""
        return self.same_parcel and self.same_address

    @property
    def words(self) -> str:
        """What speaks for it."""
        said = [
            word
            for word, is_so in (
                ("same parcel", self.same_parcel),
                ("same address", self.same_address),
            )
            if is_so
        ]
        if self.apart_m is not None:
            said.append(f"{self.apart_m:,.0f} m apart")
        return ", ".join(said)


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """A field in which a row and a site differ; ``kept`` and ``told`` as the history shows them.

    ``name`` is ``site.FIELD`` or ``system.FIELD``, ``site.position`` for both coordinates with
    their source. ``values`` are the columns that would be written; ``before`` what they hold.
    """

    name: str
    kept: str
    told: str
    values: Mapping[str, Any]
    before: Mapping[str, Any]
    row_id: int
