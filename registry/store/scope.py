"""Whose rows a question is about: a firm's, some jurisdictions', or all."""

from dataclasses import dataclass
from typing import Any

from sqlalchemy import ColumnElement, SQLColumnExpression, false

from registry.records.changes import Role, Viewer


@dataclass(frozen=True, slots=True)
class Scope:
    """A firm's rows, those of some jurisdictions (none named = no row), or with neither all."""

    firm_id: int | None = None
    jurisdiction_ids: tuple[int, ...] | None = None

    def conditions(
        self, firm_id: SQLColumnExpression[int], jurisdiction_id: SQLColumnExpression[int]
    ) -> list[ColumnElement[bool]]:
        """Return the conditions on a table's columns; a single value is an equality."""
        found: list[ColumnElement[bool]] = []
        if self.firm_id is not None:
            found.append(firm_id == self.firm_id)
        if self.jurisdiction_ids is not None:
            ids: tuple[Any, ...] = self.jurisdiction_ids
            if not ids:
                found.append(false())
            elif len(ids) == 1:
                found.append(jurisdiction_id == ids[0])
            else:
                found.append(jurisdiction_id.in_(ids))
        return found

    def narrowed(self, firm_id: int | None, jurisdiction_id: int | None) -> "Scope":
        """Return the part that is one firm's or one jurisdiction's; None leaves it as it is."""
        places = self.jurisdiction_ids
        if jurisdiction_id is not None:
            allowed = places is None or jurisdiction_id in places
            places = (jurisdiction_id,) if allowed else ()
        if firm_id is None or firm_id == self.firm_id:
            return Scope(self.firm_id, places)
        return Scope(firm_id, places if self.firm_id is None else ())

    def split(self) -> "list[Scope]":
        """Return one scope for each jurisdiction, so that each can be read in an index's order."""
        if self.jurisdiction_ids is None or len(self.jurisdiction_ids) < 2:
            return [self]
        return [Scope(self.firm_id, (one,)) for one in self.jurisdiction_ids]


def scope_of(viewer: Viewer) -> Scope:
    """Return what a viewer may see.

    County staff see their jurisdictions across firms; a firm's people see its sites; an
    administrator who belongs to no firm sees all.
    """
    if viewer.role is Role.COUNTY:
        return Scope(None, viewer.jurisdiction_ids)
    if viewer.firm_id is not None:
        return Scope(viewer.firm_id)
    return Scope() if viewer.role is Role.ADMINISTRATOR else Scope(None, ())
