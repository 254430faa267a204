"""Adding one row or bringing it up to date, with its history."""

from collections.abc import Mapping
from typing import Any

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.records.changes import Change
from registry.store.history import Author, as_said, note_changes
from registry.store.tables import Base


def put_row(
    session: Session,
    kind: type[Base],
    match: Mapping[str, Any],
    given: Mapping[str, Any],
    by: Author,
) -> tuple[int, str]:
    """Add the row that ``match`` names, or bring it up to date; return its id and what was done.

    What was done is ``added``, ``changed`` or ``unchanged``; each changed field is in the history.
    """
    row: Any = session.scalar(select(kind).filter_by(**match))
    name = kind.__tablename__
    if row is None:
        row = kind(**match, **given)
        session.add(row)
        session.flush()
        note_changes(session, [by.change(name, row.id, name, "", "added")])
        return row.id, "added"
    changes: list[Change] = []
    for field, value in given.items():
        before = getattr(row, field)
        if before != value:
            setattr(row, field, value)
            changes.append(by.change(name, row.id, field, as_said(before), as_said(value)))
    session.flush()
    note_changes(session, changes)
    return row.id, "changed" if changes else "unchanged"
