"""What a dispatcher asks of a date: technicians ruled out, visits in turn, errands.

The three are kept alike: a record is a row of the same fields, and of those with the same key the
one that was put last stands.
"""

from dataclasses import dataclass, fields
from datetime import date
from typing import Any, cast

from sqlalchemy import ColumnElement, delete, or_, select
from sqlalchemy.orm import Session

from registry.records.places import LonLat
from registry.records.visits import Errand, RuleOut, VisitLink
from registry.store.tables import Base, ErrandRow, RuleOutRow, VisitLinkRow

PLACE = "lon_lat"
"""A field that is kept in the columns ``lon`` and ``lat``."""


@dataclass(frozen=True, slots=True)
class Asked[R: (RuleOut, VisitLink, Errand)]:
    """One kind of wish for a date: its table, its record, which fields tell one from another.

    ``order`` names the columns by which they are told.
    """

    table: type[Base]
    record: type[R]
    key: tuple[str, ...]
    order: tuple[str, ...] = ("id",)

    def on(self, session: Session, firm_id: int, on_date: date) -> list[R]:
        """Return what is asked of a date, what holds until further notice included."""
        when = self._column("on_date")
        rows = session.scalars(
            select(self.table)
            .where(self._column("firm_id") == firm_id, or_(when == on_date, when.is_(None)))
            .order_by(*map(self._column, self.order))
        )
        return [self._told(row) for row in rows]

    def put(self, session: Session, firm_id: int, one: R) -> int:
        """Keep a wish in place of one with the same key, and return its id."""
        self.drop(session, firm_id, self.key_of(one))
        row: Any = self.table(firm_id=firm_id, **_columns(one))
        session.add(row)
        session.flush()
        return int(row.id)

    def key_of(self, one: R) -> tuple[object, ...]:
        """Return what tells a wish from the others of its kind."""
        return tuple(getattr(one, name) for name in self.key)

    def drop(self, session: Session, firm_id: int, key: tuple[object, ...]) -> bool:
        """Forget the wish with a key; tell whether there was one."""
        same = [self._is(name, value) for name, value in zip(self.key, key, strict=True)]
        found = session.scalars(
            delete(self.table)
            .where(self._column("firm_id") == firm_id, *same)
            .returning(self._column("id"))
        ).all()
        return bool(found)

    def _column(self, name: str) -> Any:  # noqa: ANN401 - a column of any type
        return getattr(self.table, name)

    def _is(self, name: str, value: object) -> ColumnElement[bool]:
        column = self._column(name)
        return cast("ColumnElement[bool]", column.is_(None) if value is None else column == value)

    def _told(self, row: Any) -> R:  # noqa: ANN401 - a row of any of the tables
        values: dict[str, Any] = {
            one.name: LonLat(row.lon, row.lat) if one.name == PLACE else getattr(row, one.name)
            for one in fields(self.record)
        }
        return self.record(**values)


RULE_OUTS = Asked(RuleOutRow, RuleOut, ("site_id", "technician_id", "on_date"))
"""Who does not go where, on a date or until further notice."""
LINKS = Asked(VisitLinkRow, VisitLink, ("on_date", "first_site_id", "then_site_id"))
"""Which sites are worked at one after the other."""
ERRANDS = Asked(ErrandRow, Errand, ("id",), order=("to_min", "id"))
"""Stops at places outside, told in the order of their ends."""


def _columns(one: RuleOut | VisitLink | Errand) -> dict[str, Any]:
    """Return a record's fields as columns; a row gives itself its id."""
    values = {field.name: getattr(one, field.name) for field in fields(one) if field.name != "id"}
    if PLACE in values:
        values["lon"], values["lat"] = values.pop(PLACE)
    return values
