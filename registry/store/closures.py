"""Closed roads of a firm: added and lifted, never changed, so that all of them are its history."""

from sqlalchemy import select
from sqlalchemy.orm import Session

from registry.errors import ConflictError, NotFoundError
from registry.records.closures import Closure
from registry.store.history import Author, note_changes
from registry.store.tables import RoadClosureRow

KIND = "road closure"


def add_closure(session: Session, closure: Closure, by: Author) -> Closure:
    """Keep a closure and return it with its id and who made it."""
    begins, ends = closure.hours or (None, None)
    row = RoadClosureRow(
        firm_id=closure.firm_id,
        name=closure.name,
        geom=closure.shape,
        road=closure.road,
        first_on=closure.first_on,
        last_on=closure.last_on,
        from_min=begins,
        to_min=ends,
        why=closure.why,
        made_by=by.who,
        made_at=by.at,
    )
    session.add(row)
    session.flush()
    note_changes(session, [by.change(KIND, row.id, KIND, "", f"{row.name}, {closure.when()}")])
    return _closure(row)


def closures(session: Session, firm_id: int, *, lifted: bool = False) -> list[Closure]:
    """Return a firm's closures in the order they were made; with ``lifted`` those too."""
    chosen = select(RoadClosureRow).where(RoadClosureRow.firm_id == firm_id)
    if not lifted:
        chosen = chosen.where(RoadClosureRow.lifted_at.is_(None))
    return [_closure(row) for row in session.scalars(chosen.order_by(RoadClosureRow.id))]


def lift_closure(session: Session, firm_id: int, closure_id: int, by: Author) -> Closure:
    """Note that a road is open again.

    Raises
    ------
    NotFoundError
        If the firm has no such closure.
    ConflictError
        If it was lifted before.
    """
    row = session.scalar(
        select(RoadClosureRow)
        .where(RoadClosureRow.id == closure_id, RoadClosureRow.firm_id == firm_id)
        .with_for_update()
    )
    if row is None:
        raise NotFoundError(f"There is no closure {closure_id} in your firm.")
    if row.lifted_at is not None:
        raise ConflictError(f"“{row.name}” was lifted before, by {row.lifted_by}.")
    row.lifted_by, row.lifted_at = by.who, by.at
    session.flush()
    note_changes(session, [by.change(KIND, row.id, "lifted", "", row.name)])
    return _closure(row)


def _closure(row: RoadClosureRow) -> Closure:
    hours = None if row.from_min is None or row.to_min is None else (row.from_min, row.to_min)
    return Closure(
        id=row.id,
        firm_id=row.firm_id,
        name=row.name,
        shape=row.geom,
        road=row.road,
        first_on=row.first_on,
        last_on=row.last_on,
        hours=hours,
        why=row.why,
        made_by=row.made_by,
        made_at=row.made_at,
        lifted_by=row.lifted_by,
        lifted_at=row.lifted_at,
    )
