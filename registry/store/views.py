"""Saved views of the county map, each of one sign-in."""

from sqlalchemy import delete, func, select
from sqlalchemy.orm import Session

from registry.records.due_rows import SavedView
from registry.store.tables import SavedViewRow


def views_of(session: Session, user_id: int) -> list[SavedView]:
    """Return the views of a sign-in by name."""
    row = SavedViewRow
    found = session.scalars(select(row).where(row.user_id == user_id).order_by(row.name))
    return [SavedView(one.id, one.name, dict(one.asked)) for one in found]


def keep_view(session: Session, user_id: int, name: str, asked: dict[str, str]) -> None:
    """Keep a view; one of the same name takes its place."""
    row = SavedViewRow
    there = session.scalar(select(row).where(row.user_id == user_id, row.name == name))
    if there is None:
        session.add(SavedViewRow(user_id=user_id, name=name, asked=asked))
    else:
        there.asked = asked
    session.flush()


def forget_view(session: Session, user_id: int, view_id: int) -> bool:
    """Forget a view of a sign-in; return whether there was one."""
    row = SavedViewRow
    mine = (row.id == view_id, row.user_id == user_id)
    there = session.scalar(select(func.count()).select_from(row).where(*mine))
    session.execute(delete(row).where(*mine))
    return bool(there)
