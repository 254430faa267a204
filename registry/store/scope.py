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

    def split(self) -> "list[Scope]":
        """Return one scope for each jurisdiction, so that each can be read in an index's order."""
        if self.jurisdiction_ids is None or len(self.jurisdiction_ids) < 2:
            return [self]
        return [Scope(self.firm_id, (one,)) for one in self.jurisdiction_ids]


def scope_of(viewer: Viewer, firm_id: int | None = None, place: int | None = None) -> Scope:
    """Return what a viewer may see, narrowed to a firm or a jurisdiction where one is asked for.

    County staff see their jurisdictions across firms; a firm's people see its sites; an
    administrator who belongs to no firm sees all.
    """
    if viewer.role is Role.COUNTY:
        allowed = viewer.jurisdiction_ids
        chosen = allowed if place is None else tuple(one for one in allowed if one == place)
        return Scope(firm_id, chosen)
    within = None if place is None else (place,)
    if viewer.firm_id is not None:
        return Scope(viewer.firm_id, within)
    if viewer.role is Role.ADMINISTRATOR:
        return Scope(firm_id, within)
    return Scope(None, ())
